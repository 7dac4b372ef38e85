//! Bouts with recovery: n legs at a speed, then a rest that begins at the finish signal.

use crate::build::label;
use crate::definition::{Definition, Work};
use crate::exact::{Exact, instant, length, time_for, whole, zero};
use crate::ladder::{Bout, Ladder, Signal, SignalKind, StageSpan};
use crate::units::Length;

/// Returns the ladder of a test made of bouts.
pub(super) fn build(definition: &Definition) -> Option<Ladder> {
    let legs = definition.pace.legs.as_ref()?.value;
    let recovery = whole(u64::try_from(definition.pace.recovery.as_ref()?.value.as_nanos()).ok()?);
    let mut bouts = Vec::new();
    let mut stages = Vec::new();
    let mut clock: Exact = zero();
    let mut distance: Exact = zero();
    for (index, stage) in definition.stages.iter().enumerate() {
        let leg = stage
            .leg
            .or(definition.course.leg.as_ref().map(|l| l.value))?;
        let Work::Bouts(count) = stage.work else {
            return None;
        };
        let stage_start = clock.clone();
        let mut finish = clock.clone();
        for n in 1..=count {
            let start = clock.clone();
            let signals = (1..legs)
                .map(|done| {
                    let run = whole(leg.as_mm() * u64::from(done));
                    Signal {
                        at: instant(&(&start + time_for(&run, stage.speed))),
                        kind: SignalKind::Turn,
                        place: if done % 2 == 1 { leg } else { Length::ZERO },
                    }
                })
                .collect();
            let run = whole(leg.as_mm() * u64::from(legs));
            finish = &start + time_for(&run, stage.speed);
            distance += run;
            bouts.push(Bout {
                number: u32::try_from(bouts.len() + 1).ok()?,
                label: label(definition, stage, n),
                stage: index,
                speed: stage.speed,
                start: instant(&start),
                signals,
                finish: instant(&finish),
                distance: length(&distance),
            });
            clock = &finish + &recovery;
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
