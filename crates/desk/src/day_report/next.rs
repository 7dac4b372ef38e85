//! What the athlete does next, in plain words, by the way the runner moved.
//! Must advise nothing that needs a clinic, and decide nothing: the way is decided in `moved`.

use plimsoll_report::{AthleteLine, Way};

/// Returns what the athlete of a line does next; `tests` are all results up to today.
pub(super) fn step(line: &AthleteLine, way: Way, tests: usize) -> String {
    let words = if line.lower_bound {
        "Your run was cut short, so this is not your full result. Run again when the staff say you are ready."
    } else if tests == 1 {
        "A first test teaches you the test. Run it once more within ten days: that result is the one to compare \
         with later."
    } else {
        match way {
            Way::Better => {
                "Keep the training that led here, and repeat the test under the same conditions."
            }
            Way::Worse => {
                "One day does not make a trend. Tell the staff how you slept, ate and felt, and run again under the \
                 same conditions."
            }
            _ => {
                "Nothing needs to change because of this result. Run again at the next test day, at the same hour, \
                 in the same shoes."
            }
        }
    };
    words.to_owned()
}
