//! Source: Ramsbottom, Brewer & Williams 1988, Br J Sports Med 22:141-144: group means read in
//! the abstract (men level 12.6, 58.5; women 9.6, 47.4); slope and intercept from memory.

use super::{equation, man, near};
use plimsoll_interpret::Sex;
use plimsoll_interpret::equations::Inputs;

/// The line's own values at the group means, to the printed decimal.
const ONE_DECIMAL: f64 = 0.06;
/// A regression line passes near group means, not through them: half a unit.
const NEAR_THE_MEANS: f64 = 0.5;

#[test]
fn the_line_passes_near_both_group_means() {
    let line = equation("msr20_ramsbottom1988");
    let men = Inputs {
        level_decimal: Some(12.6),
        ..man()
    };
    let women = Inputs {
        level_decimal: Some(9.6),
        sex: Some(Sex::Female),
        ..man()
    };
    let (men, women) = (
        line.evaluate(&men).expect("a value"),
        line.evaluate(&women).expect("a value"),
    );
    near(men, 58.2, ONE_DECIMAL);
    near(women, 47.8, ONE_DECIMAL);
    near(men, 58.5, NEAR_THE_MEANS);
    near(women, 47.4, NEAR_THE_MEANS);
}
