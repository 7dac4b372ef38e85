//! Source: Kelly, Jackson & Wood 2014, J Aust Strength Cond 22(5):183-185 (abstract read; formula
//! from memory): 1200 / (t - 20.3), for 5 x (20 + 20 + 40 + 40 + 60 + 60) m.

use super::{equation, man, near};
use plimsoll_interpret::equations::Inputs;

/// Double rounding only.
const EXACT: f64 = 1e-9;

/// 5 repeats of 6 legs are 30 legs, 29 turns between them, at 0.7 s each 20.3 s.
#[test]
fn the_constant_is_29_turns_of_0_7_s() {
    let legs = 5 * 6;
    let metres: u32 = 5 * (20 + 20 + 40 + 40 + 60 + 60);
    assert_eq!(metres, 1200);
    let lost = f64::from(legs - 1) * 0.7;
    near(lost, 20.3, EXACT);
    let inputs = Inputs {
        time_s: Some(300.0),
        ..man()
    };
    let got = equation("shuttle1200_mas")
        .evaluate(&inputs)
        .expect("a value");
    near(got, f64::from(metres) / (300.0 - lost), EXACT);
}
