//! Continuous running: speed as a function of time or of leg number; a cue falls wherever the
//! distance function crosses a line.

use crate::build::label;
use crate::definition::{Advance, Definition, Work};
use crate::exact::{Exact, distance_in, instant, length, time_for, whole, zero};
use crate::ladder::{Bout, Ladder, StageSpan};
use crate::units::{Instant, Length, Speed};

/// A ladder under construction.
struct Builder {
    leg: Length,
    bouts: Vec<Bout>,
    stages: Vec<StageSpan>,
    last_finish: Instant,
}

impl Builder {
    /// Adds the leg that ends at `finish`.
    fn push(&mut self, label: String, stage: usize, speed: Speed, finish: &Exact) -> Option<()> {
        let number = u32::try_from(self.bouts.len() + 1).ok()?;
        let finish = instant(finish);
        self.bouts.push(Bout {
            number,
            label,
            stage,
            speed,
            start: self.last_finish,
            signals: Vec::new(),
            finish,
            distance: Length::from_mm(self.leg.as_mm() * u64::from(number)),
        });
        self.last_finish = finish;
        Some(())
    }

    /// Closes a stage.
    fn close(&mut self, label: &str, speed: Speed, start: &Exact, end: &Exact, run: &Exact) {
        self.stages.push(StageSpan {
            label: label.to_owned(),
            speed,
            start: instant(start),
            end: instant(end),
            distance: length(run),
            last_bout: self.bouts.last().map_or(0, |b| b.number),
        });
    }
}

/// Returns the ladder of a continuous test.
pub(super) fn build(definition: &Definition) -> Option<Ladder> {
    let mut builder = Builder {
        leg: definition.course.leg.as_ref()?.value,
        bouts: Vec::new(),
        stages: Vec::new(),
        last_finish: Instant::START,
    };
    match definition.pace.advance.as_ref()?.value {
        Advance::ExactTime => by_time(definition, &mut builder)?,
        Advance::WholeLegs => by_legs(definition, &mut builder)?,
        Advance::EveryLeg => every_leg(definition, &mut builder)?,
    }
    Some(Ladder::new(builder.bouts, builder.stages))
}

/// The speed rises at exact times: a leg belongs to the stage in which it ends, and a leg that
/// ends on the instant of a rise belongs to the stage that ends there.
fn by_time(definition: &Definition, builder: &mut Builder) -> Option<()> {
    let leg = whole(builder.leg.as_mm());
    let (mut clock, mut run) = (zero(), zero());
    let mut next_line = leg.clone();
    for (index, stage) in definition.stages.iter().enumerate() {
        let Work::Time(span) = stage.work else {
            return None;
        };
        let span = whole(u64::try_from(span.as_nanos()).ok()?);
        let end_of_run = &run + distance_in(&span, stage.speed);
        let mut n = 0;
        while next_line <= end_of_run {
            n += 1;
            let finish = &clock + time_for(&(&next_line - &run), stage.speed);
            builder.push(label(definition, stage, n), index, stage.speed, &finish)?;
            next_line += &leg;
        }
        let end = &clock + span;
        builder.close(&stage.label, stage.speed, &clock, &end, &end_of_run);
        clock = end;
        run = end_of_run;
    }
    Some(())
}

/// The speed rises on the cue that ends a whole number of legs.
fn by_legs(definition: &Definition, builder: &mut Builder) -> Option<()> {
    let leg = whole(builder.leg.as_mm());
    let (mut clock, mut run) = (zero(), zero());
    for (index, stage) in definition.stages.iter().enumerate() {
        let Work::Legs(count) = stage.work else {
            return None;
        };
        let start = clock.clone();
        for n in 1..=count {
            clock += time_for(&leg, stage.speed);
            run += &leg;
            builder.push(label(definition, stage, n), index, stage.speed, &clock)?;
        }
        builder.close(&stage.label, stage.speed, &start, &clock, &run);
    }
    Some(())
}

/// The speed rises with every leg: each leg is a stage of its own.
fn every_leg(definition: &Definition, builder: &mut Builder) -> Option<()> {
    let leg = whole(builder.leg.as_mm());
    let first = definition.pace.start_speed.as_ref()?.value.as_mm_per_h();
    let rise = definition.pace.increment.as_ref()?.value.as_mm_per_h();
    let count = definition.pace.max_legs.as_ref()?.value;
    let (mut clock, mut run) = (zero(), zero());
    for n in 1..=count {
        let speed = Speed::from_mm_per_h(first + rise * u64::from(n - 1));
        let start = clock.clone();
        clock += time_for(&leg, speed);
        run += &leg;
        let index = builder.stages.len();
        builder.push(n.to_string(), index, speed, &clock)?;
        builder.close(&n.to_string(), speed, &start, &clock, &run);
    }
    Some(())
}
