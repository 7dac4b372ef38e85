//! Runs of fixed duration over lines, then a walk to the next line ahead.
//! Each turn costs the turn allowance, taken off the distance of the run.

use num_traits::Zero;

use crate::build::label;
use crate::definition::{Definition, Work};
use crate::exact::{Exact, distance_in, instant, length, time_for, whole, zero};
use crate::ladder::{Bout, Ladder, Signal, SignalKind, StageSpan};
use crate::units::{Length, Speed};

/// The lines of the course and what one run has to do on it.
struct Rules {
    lines: Vec<u64>,
    run: Exact,
    turn: Exact,
}

/// Where a runner stands, and which way the next run goes.
#[derive(Debug, Clone)]
struct Stance {
    line: usize,
    outward: bool,
}

/// One run: its signals, what was run, and where the next one starts.
struct Run {
    signals: Vec<(Exact, SignalKind, u64)>,
    distance: Exact,
    next: Stance,
}

impl Rules {
    /// Returns the next line in the running direction, turning round at an end line.
    fn ahead(&self, at: &Stance) -> Stance {
        let last = self.lines.len() - 1;
        let outward = match at.line {
            0 => true,
            line if line == last => false,
            _ => at.outward,
        };
        let line = if outward { at.line + 1 } else { at.line - 1 };
        Stance { line, outward }
    }

    /// Returns whether a run that reaches this line has to turn there to go on.
    fn is_end(&self, line: usize) -> bool {
        line == 0 || line == self.lines.len() - 1
    }

    /// Runs for the fixed time from a standing start at a line.
    ///
    /// A line reached in time gets a signal. At an end line the turn must fit in the time left,
    /// or the run ends there: the walk then starts on the line itself.
    fn run_from(&self, from: &Stance, speed: Speed) -> Run {
        let mut here = from.clone();
        let mut clock = zero();
        let mut distance = zero();
        let mut signals = Vec::new();
        loop {
            let next = self.ahead(&here);
            let gap = whole(self.lines[here.line].abs_diff(self.lines[next.line]));
            let arrive = &clock + time_for(&gap, speed);
            if arrive > self.run {
                distance += distance_in(&(&self.run - &clock), speed);
                // The walk goes on to the line ahead; exactly on a line there is none.
                let stands = self.run == clock;
                return Run {
                    signals,
                    distance,
                    next: if stands { here } else { next },
                };
            }
            distance += gap;
            let turns = self.is_end(next.line);
            let kind = if turns {
                SignalKind::Turn
            } else {
                SignalKind::Line
            };
            signals.push((arrive.clone(), kind, self.lines[next.line]));
            clock = if turns {
                &arrive + &self.turn
            } else {
                arrive.clone()
            };
            here = next;
            if clock > self.run || arrive == self.run {
                return Run {
                    signals,
                    distance,
                    next: here,
                };
            }
        }
    }
}

/// Returns the ladder of a test of timed runs.
pub(super) fn build(definition: &Definition) -> Option<Ladder> {
    let nanos = |span: crate::units::Span| u64::try_from(span.as_nanos()).ok().map(whole);
    let rules = Rules {
        lines: definition
            .course
            .lines
            .as_ref()?
            .value
            .iter()
            .map(|l| l.as_mm())
            .collect(),
        run: nanos(definition.pace.run.as_ref()?.value)?,
        turn: match &definition.pace.turn_allowance {
            Some(turn) => nanos(turn.value)?,
            None => Exact::zero(),
        },
    };
    let period = &rules.run + nanos(definition.pace.recovery.as_ref()?.value)?;
    let mut bouts: Vec<Bout> = Vec::new();
    let mut stages = Vec::new();
    let mut stance = Stance {
        line: 0,
        outward: true,
    };
    let (mut clock, mut distance) = (zero(), zero());
    for (index, stage) in definition.stages.iter().enumerate() {
        let Work::Bouts(count) = stage.work else {
            return None;
        };
        let stage_start = clock.clone();
        let mut finish = clock.clone();
        for n in 1..=count {
            let run = rules.run_from(&stance, stage.speed);
            distance += &run.distance;
            finish = &clock + &rules.run;
            bouts.push(Bout {
                number: u32::try_from(bouts.len() + 1).ok()?,
                label: label(definition, stage, n),
                stage: index,
                speed: stage.speed,
                start: instant(&clock),
                signals: run
                    .signals
                    .iter()
                    .map(|(at, kind, place)| Signal {
                        at: instant(&(&clock + at)),
                        kind: *kind,
                        place: Length::from_mm(*place),
                    })
                    .collect(),
                finish: instant(&finish),
                distance: length(&distance),
            });
            stance = run.next;
            clock += &period;
        }
        stages.push(StageSpan {
            label: stage.label.clone(),
            speed: stage.speed,
            start: instant(&stage_start),
            end: instant(&finish),
            distance: length(&distance),
            last_bout: u32::try_from(bouts.len()).ok()?,
        });
    }
    Some(Ladder::new(bouts, stages))
}
