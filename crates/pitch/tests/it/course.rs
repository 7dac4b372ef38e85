//! The course check: exact rectangles come back, skew is found, a wrong reading is named.

use plimsoll_pitch::{CourseFault, Readings, Side, agree, course};
use proptest::prelude::*;

/// 24 lanes of 1 m: the diagonal of 24 × 20 m is 31.24 m. Derived.
const EXACT: Readings = Readings {
    left_m: 20.0,
    right_m: 20.0,
    diagonal_a_m: Some(31.240_998_703_626_616),
    diagonal_b_m: Some(31.240_998_703_626_616),
    near_m: Some(24.0),
    far_m: Some(24.0),
    nominal_m: 20.0,
    width_m: 24.0,
};

#[test]
fn an_exact_course_needs_nothing() {
    let got = course(&EXACT).expect("a course");
    assert!(got.error_ppm.abs() < 1e-3 && got.moves.is_empty());
    assert!(got.skew_m.expect("diagonals").abs() < 1e-6);
}

/// Source: the job analysis, 2.8: 19.86 m is 0.7 % short, and line B moves by 14 cm.
#[test]
fn a_short_course_is_told_how_to_be_mended() {
    let short = Readings {
        left_m: 19.86,
        right_m: 19.86,
        diagonal_a_m: None,
        diagonal_b_m: None,
        ..EXACT
    };
    let got = course(&short).expect("a course");
    assert!((got.error_ppm + 7_000.0).abs() < 1.0);
    assert_eq!(
        got.advice(),
        [
            "move the left end of the far line 14 cm out",
            "move the right end of the far line 14 cm out"
        ]
    );
}

#[test]
fn a_skewed_course_shows_in_the_diagonals() {
    // The far line shifted 1 m to the right: edges of √(20² + 1²) m.
    let edge = 401.0_f64.sqrt();
    let skewed = Readings {
        left_m: edge,
        right_m: edge,
        diagonal_a_m: Some(25.0_f64.hypot(20.0)),
        diagonal_b_m: Some(23.0_f64.hypot(20.0)),
        ..EXACT
    };
    let got = course(&skewed).expect("a course");
    assert!(
        (got.skew_m.expect("diagonals") - 1.0).abs() < 1e-4,
        "{got:?}"
    );
    assert_eq!(got.moves.len(), 2);
    assert!(matches!(got.moves[0], (Side::Left, by) if by < 0.0));
}

#[test]
fn a_reading_a_metre_off_is_named() {
    let wrong = Readings {
        diagonal_a_m: Some(32.24),
        ..EXACT
    };
    assert_eq!(
        course(&wrong).expect_err("refused").to_string(),
        "the diagonal from near left reads 32.24 m, and the other readings make it 31.24 m: tape it \
         again, it may be from another corner or a metre off"
    );
    let none = Readings {
        left_m: -1.0,
        ..EXACT
    };
    assert!(matches!(course(&none), Err(CourseFault::Value { .. })));
}

/// Source: rule books of athletics (from memory): 16 mm on 20 m, 22 mm on 40 m.
#[test]
fn two_measurements_agree_within_the_rule() {
    assert!(agree(20.0, 20.0159) && !agree(20.0, 20.0171));
    assert!(agree(40.0, 40.0219) && !agree(40.0, 40.0231));
}

proptest! {
    #[test]
    fn a_rectangle_comes_back(length in 10.0..60.0f64, width in 2.0..60.0f64) {
        let diagonal = Some(length.hypot(width));
        let taped = Readings {
            left_m: length, right_m: length, diagonal_a_m: diagonal, diagonal_b_m: diagonal,
            near_m: None, far_m: None, nominal_m: length, width_m: width,
        };
        let got = course(&taped).expect("a course");
        prop_assert!(got.error_ppm.abs() < 0.1 && got.largest_residual_m < 1e-6);
    }

    #[test]
    fn left_and_right_change_places_in_a_mirror(l in 19.9..20.1f64, r in 19.9..20.1f64, shift in -0.5..0.5f64) {
        let far = |x: f64, edge: f64| (x + shift, (edge * edge - shift * shift).sqrt());
        let ((lx, ly), (rx, ry)) = (far(0.0, l), far(24.0, r));
        let taped = Readings {
            left_m: l, right_m: r,
            diagonal_a_m: Some(rx.hypot(ry)), diagonal_b_m: Some((lx - 24.0).hypot(ly)),
            near_m: Some(24.0), far_m: Some((rx - lx).hypot(ry - ly)), nominal_m: 20.0, width_m: 24.0,
        };
        let mirrored = Readings {
            left_m: r, right_m: l,
            diagonal_a_m: taped.diagonal_b_m, diagonal_b_m: taped.diagonal_a_m, ..taped
        };
        let (a, b) = (course(&taped).expect("a course"), course(&mirrored).expect("a course"));
        prop_assert!((a.left_m - l).abs() < 1e-6 && (a.right_m - r).abs() < 1e-6);
        prop_assert!((a.skew_m.expect("s") + b.skew_m.expect("s")).abs() < 1e-6);
        prop_assert!((a.mean_m - b.mean_m).abs() < 1e-9);
    }
}
