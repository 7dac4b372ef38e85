//! Source: JAMA 1968;203:201-204 (from memory): (d - 504.9) / 44.73, the same line as
//! 35.97 x miles - 11.29.

use super::{equation, man, near};
use plimsoll_interpret::equations::Inputs;

/// Metres in a mile.
const MILE_M: f64 = 1609.344;
/// Two forms rounded to four digits each: 0.05 at two miles.
const BOTH_FORMS_ROUNDED: f64 = 0.05;

#[test]
fn the_metric_and_the_mile_form_are_one_line() {
    let line = equation("run12_1968");
    for miles in [1.0, 1.5, 1.75, 2.0] {
        let inputs = Inputs {
            distance_m: Some(miles * MILE_M),
            ..man()
        };
        let got = line.evaluate(&inputs).expect("a value");
        near(got, 35.97 * miles - 11.29, BOTH_FORMS_ROUNDED);
    }
}
