//! How many cues a definition would make, so that a slip of the finger or a hostile file cannot
//! ask for millions.

use crate::definition::{Course, Pace, Shape, Stage, Work};

/// Most cues a ladder may have; the longest known one has about 700.
pub(super) const MOST_CUES: u128 = 20_000;

/// Returns an upper estimate of the number of cues.
pub(super) fn cues<'s>(
    shape: Shape,
    course: &Course,
    pace: &Pace,
    stages: impl Iterator<Item = &'s Stage>,
) -> u128 {
    let nanos = |span: crate::units::Span| u128::try_from(span.as_nanos()).unwrap_or(0);
    // Legs covered in a time at a speed: mm/h × ns / (ns per hour) / leg.
    let covered = |stage: &Stage, time: u128, leg: u64| {
        u128::from(stage.speed.as_mm_per_h()) * time / 3_600_000_000_000 / u128::from(leg.max(1))
            + 1
    };
    let leg = course.leg.as_ref().map_or(1, |l| l.value.as_mm());
    let legs = pace.legs.as_ref().map_or(1, |l| u128::from(l.value));
    let narrowest = course.lines.as_ref().map_or(1, |lines| {
        lines
            .value
            .windows(2)
            .map(|w| w[1].as_mm() - w[0].as_mm())
            .min()
            .unwrap_or(1)
    });
    let run = pace.run.as_ref().map_or(0, |r| nanos(r.value));
    stages
        .map(|stage| match (stage.work, shape) {
            (Work::Bouts(n), Shape::TimedRuns) => {
                u128::from(n) * (covered(stage, run, narrowest) + 1)
            }
            (Work::Bouts(n), _) => u128::from(n) * (legs + 1),
            (Work::Legs(n), _) => u128::from(n),
            (Work::Time(span), _) => covered(stage, nanos(span), leg),
        })
        .sum()
}
