//! A change beyond growth: by hand, its limits, its calibration and its refusals.

use plimsoll_measure::growth::{
    Errors, Expected, Model, SE_LIMIT, Sample, Seen, beyond_growth, fit,
};
use plimsoll_measure::norms::Lms;

use crate::golden::close;
use crate::simulate::{Draws, people, truth};

const ERRORS: Errors = Errors {
    typical: 60.0,
    df: None,
    reference: 0.0,
    drift: 0.0,
};

fn seen(age: f64, value: f64, l: f64, m: f64, s: f64) -> Seen {
    Seen {
        age,
        value,
        lms: Lms::new(l, m, s).expect("an LMS"),
    }
}

/// By hand, L = 1: M 800 to 900, SD 160 to 180. At 960 (z = 1) a constant z expects 1080.
#[test]
fn by_hand() {
    let before = seen(12.0, 960.0, 1.0, 800.0, 0.2);
    let after = seen(13.0, 1_150.0, 1.0, 900.0, 0.2);
    let median = beyond_growth(&before, &after, Expected::Median, &ERRORS).expect("a change");
    close("expected", median.expected, 100.0, 1e-12);
    close("beyond", median.beyond, 90.0, 1e-12);
    close("se", median.se, 60.0 * 2.0_f64.sqrt(), 1e-12);
    let own = beyond_growth(&before, &after, Expected::ConstantZ, &ERRORS).expect("a change");
    close("expected", own.expected, 120.0, 1e-12);
    close("beyond", own.beyond, 70.0, 1e-12);
    close("se", own.se, 60.0 * (1.0 + 1.125_f64 * 1.125).sqrt(), 1e-12);
    let errors = Errors {
        reference: 30.0,
        drift: 0.5,
        ..ERRORS
    };
    let wide = beyond_growth(&before, &after, Expected::ConstantZ, &errors).expect("a change");
    let want: f64 = 3_600.0 * (1.0 + 1.125 * 1.125) + 900.0 + 90.0 * 90.0;
    close("se", wide.se, want.sqrt(), 1e-12);
    let chance = own.chance(40.0).expect("a chance");
    close("sum", chance.up + chance.trivial + chance.down, 1.0, 1e-12);
    assert!(chance.any_up > chance.up && chance.up > chance.down);
    assert!(own.interval(0.9).expect("an interval").contains(70.0));
}

/// Same day, same reference: nothing is expected, whatever the way.
#[test]
fn no_time_no_growth() {
    let before = seen(12.0, 700.0, -0.5, 800.0, 0.2);
    let after = Seen {
        value: 750.0,
        ..before
    };
    for way in [Expected::Median, Expected::ConstantZ] {
        let change = beyond_growth(&before, &after, way, &ERRORS).expect("a change");
        close("expected", change.expected, 0.0, 1e-9);
        close("se", change.se, 60.0 * 2.0_f64.sqrt(), 1e-9);
    }
}

/// 4000 children who only grow at their own z, measured with error and drift: the 90 % interval
/// holds 0 in 88 to 92 of a hundred.
#[test]
fn children_who_only_grow_get_no_credit() {
    let mut draws = Draws::new(77);
    let errors = Errors {
        typical: 25.0,
        drift: 0.2,
        ..ERRORS
    };
    let mut held = 0.0;
    for _ in 0..4_000 {
        let age = 10.0 + 4.0 * draws.uniform();
        let z = draws.normal().clamp(-2.2, 2.2);
        let drifted = z + errors.drift * draws.normal();
        let mut see = |age: f64, z: f64| Seen {
            age,
            value: truth(age).value_at(z).expect("a value") + 25.0 * draws.normal(),
            lms: truth(age),
        };
        let (before, after) = (see(age, z), see(age + 1.0, drifted));
        let change = beyond_growth(&before, &after, Expected::ConstantZ, &errors).expect("one");
        held += f64::from(u8::from(change.interval(0.9).expect("one").contains(0.0)));
    }
    let share = held / 4_000.0;
    assert!((0.88..=0.92).contains(&share), "{share}");
}

/// The growth of a fitted reference is the difference of two centiles, with less error than two
/// centiles that had nothing to do with each other.
#[test]
fn growth_of_a_fit() {
    let sample = Sample::from_rows(&people(2_000, 2)).expect("a sample");
    let fit = fit(&sample, &Model::smooth()).expect("a fit");
    let growth = fit.growth(0.0, 12.0, 12.5).expect("growth");
    let a = fit.centile(12.0, 0.0, SE_LIMIT).expect("a median");
    let b = fit.centile(12.5, 0.0, SE_LIMIT).expect("a median");
    close("growth", growth.change, b.value - a.value, 1e-12);
    assert!(growth.se > 0.0 && growth.se < a.se.hypot(b.se));
    close(
        "no time",
        fit.growth(0.5, 12.0, 12.0).expect("none").se,
        0.0,
        1e-9,
    );
}

#[test]
fn refusals() {
    let before = seen(12.0, 700.0, 1.0, 800.0, 0.2);
    let after = seen(13.0, 750.0, 1.0, 900.0, 0.2);
    for way in [Expected::Median, Expected::ConstantZ] {
        assert!(beyond_growth(&after, &before, way, &ERRORS).is_err());
        for bad in [0.0, -5.0, f64::NAN] {
            let value = Seen {
                value: bad,
                ..after
            };
            assert!(beyond_growth(&before, &value, way, &ERRORS).is_err());
            let errors = Errors {
                typical: bad,
                ..ERRORS
            };
            assert!(beyond_growth(&before, &after, way, &errors).is_err());
        }
        for errors in [
            Errors {
                reference: -1.0,
                ..ERRORS
            },
            Errors {
                drift: f64::NAN,
                ..ERRORS
            },
            Errors {
                df: Some(0.5),
                ..ERRORS
            },
        ] {
            assert!(beyond_growth(&before, &after, way, &errors).is_err());
        }
    }
    // At this z the second curve has ended: L S z is below -1.
    let far = seen(12.0, 100.0, 0.1, 800.0, 0.2);
    let ended = seen(13.0, 300.0, 2.0, 900.0, 0.2);
    assert!(beyond_growth(&far, &ended, Expected::ConstantZ, &ERRORS).is_err());
}
