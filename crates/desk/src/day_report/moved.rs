//! Which way a runner moved: by the level where there is one, else by the two tests alone.
//! Decided on numbers and codes, never on words; a run cut short can only have risen.

use plimsoll_interpret::change::Verdict;
use plimsoll_report::{AthleteLine, Basis, LevelLine, Move, Way};

use super::Runner;

/// From this chance on a change is called likely; as in the verdicts of levels and of two tests.
/// Common practice, no source.
const LIKELY: f64 = 0.75;

/// Returns which way the runner of a line moved.
pub(super) fn of(line: &AthleteLine, runner: &Runner) -> Move {
    let (basis, (way, chance)) = match &line.level {
        Some(level) => (Basis::Level, by_level(level)),
        None => (Basis::TwoTests, by_two_tests(runner)),
    };
    // "At least" rules out no better result, so it shows neither a fall nor the same.
    let open = line.lower_bound && !matches!(way, Way::Better | Way::First);
    let (way, chance) = if open {
        (Way::CutShort, None)
    } else {
        (way, chance)
    };
    Move {
        id: line.id.clone(),
        way,
        basis,
        chance,
    }
}

fn by_level(level: &LevelLine) -> (Way, Option<f64>) {
    [
        (Way::Better, level.p_up),
        (Way::Worse, level.p_down),
        (Way::Same, level.p_trivial),
    ]
    .into_iter()
    .find(|(_, chance)| *chance >= LIKELY)
    .map_or((Way::Unclear, None), |(way, chance)| (way, Some(chance)))
}

fn by_two_tests(runner: &Runner) -> (Way, Option<f64>) {
    if runner.entries.len() < 2 {
        return (Way::First, None);
    }
    let change = runner.meaning.change.as_ref();
    match change.and_then(|c| c.previous.as_ref()).map(|p| &p.verdict) {
        Some(Verdict::Better { chance, .. }) => (Way::Better, Some(*chance)),
        Some(Verdict::Worse { chance, .. }) => (Way::Worse, Some(*chance)),
        Some(Verdict::Same { chance }) => (Way::Same, Some(*chance)),
        Some(Verdict::CannotTell | Verdict::Unclear { .. }) | None => (Way::Unclear, None),
    }
}
