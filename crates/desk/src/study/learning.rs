//! Whether the first trial belongs to practice, in words.
//! Leaves nothing out by itself: the lead decides.

use plimsoll_measure::error::MeanChange;
use plimsoll_measure::study::FirstPair;

use super::answer::{StudyAnswer, change_of};

/// Returns what the first trial is, and whether it should be treated as practice.
pub fn practice(answer: &StudyAnswer) -> (Option<bool>, String) {
    let analysis = answer.analysis();
    let clear = |c: &MeanChange| c.interval.lower > 0.0 || c.interval.upper < 0.0;
    let Some(learning) = &analysis.learning else {
        let first = analysis.pairs.first().and_then(|p| change_of(p).ok());
        return match first {
            Some(change) if clear(&change) => (
                None,
                "The mean changed from the first trial to the second by more than error: the first \
                 may be practice. A third trial would tell."
                    .to_owned(),
            ),
            _ => (None, "Two trials cannot show whether the first is practice.".to_owned()),
        };
    };
    if learning.verdict == FirstPair::Noisier {
        let times = learning.ratio.as_ref().map_or(f64::NAN, |r| *r);
        let size = if times.is_finite() {
            format!(" ({times:.1} times)")
        } else {
            String::new()
        };
        return (
            Some(true),
            format!(
                "Treat trial 1 as practice: the error between trials 1 and 2 is larger than between \
                 the later ones{size}."
            ),
        );
    }
    match (&learning.first_change, &learning.later_change) {
        (Ok(first), Ok(later)) if clear(first) && !clear(later) => (
            Some(true),
            "Treat trial 1 as practice: the mean changes from trial 1 to 2 and then no more."
                .to_owned(),
        ),
        (Ok(first), Ok(_)) if clear(first) => (
            None,
            "The mean still changes after trial 2: either practice has not ended, or the people \
             have truly changed."
                .to_owned(),
        ),
        _ => (
            Some(false),
            "Nothing shows that trial 1 is only practice.".to_owned(),
        ),
    }
}
