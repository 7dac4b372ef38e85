//! Source: Leger, Mercier, Gadoury & Lambert 1988, J Sports Sci 6:93-101 and Leger & Gadoury
//! 1989, Can J Sport Sci 14:21-26 (abstracts read).

use super::{equation, man, near};
use plimsoll_interpret::Sex;
use plimsoll_interpret::equations::Inputs;

/// The 1989 abstract prints one decimal of each coefficient: -27.4 and 6.0.
const PRINTED_COEFFICIENTS: f64 = 0.1;
/// Double rounding only.
const EXACT: f64 = 1e-9;

fn child(age: f64, speed: f64) -> f64 {
    let inputs = Inputs {
        sex: Some(Sex::Female),
        age_years: Some(age),
        final_speed_kmh: Some(speed),
        ..Inputs::default()
    };
    equation("msr20_leger1988_child")
        .evaluate(&inputs)
        .expect("a value")
}

/// At 18 the child equation is -27.44 + 6.003 S, the adult line to its printed digits.
#[test]
fn at_18_the_child_equation_is_the_adult_line() {
    for speed in [8.5, 10.0, 12.5, 15.0] {
        let got = child(18.0, speed);
        // 31.025 - 3.248 x 18 = -27.439 and 3.238 + 0.1536 x 18 = 6.0028.
        near(got, -27.439 + 6.0028 * speed, EXACT);
        let inputs = Inputs {
            final_speed_kmh: Some(speed),
            ..man()
        };
        let adult = equation("msr20_leger1989_adult")
            .evaluate(&inputs)
            .expect("a value");
        near(adult, -27.4 + 6.0 * speed, EXACT);
        near(got, adult, PRINTED_COEFFICIENTS);
    }
}

/// Age counts in whole years.
#[test]
fn age_counts_in_whole_years() {
    assert_eq!(child(12.0, 11.0), child(12.9, 11.0));
    assert!(child(12.0, 11.0) > child(13.0, 11.0));
}

/// Source: Flouris 2005 (coefficients from memory): lower than the 1989 line at 12.5 km/h, 45.1
/// against 47.6, as its abstract says of the older equation.
#[test]
fn a_later_equation_is_lower() {
    let inputs = Inputs {
        final_speed_kmh: Some(12.5),
        ..man()
    };
    let later = equation("msr20_flouris2005_tt")
        .evaluate(&inputs)
        .expect("a value");
    let adult = equation("msr20_leger1989_adult")
        .evaluate(&inputs)
        .expect("a value");
    near(later, 45.1, 0.05);
    near(adult, 47.6, 0.05);
}
