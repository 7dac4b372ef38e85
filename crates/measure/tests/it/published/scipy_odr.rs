//! A line through points with errors both ways, held against orthogonal distance regression.
//! Source: scipy 1.17.1, `scipy.odr` (ODRPACK) with constant `sx`, `sy`; run for these invented points.

use plimsoll_measure::MeasureError;
use plimsoll_measure::level::Conversion;

const X: [f64; 12] = [
    6.62, 6.75, 6.81, 6.90, 6.97, 7.02, 7.08, 7.15, 7.22, 7.31, 7.40, 7.55,
];
const Y: [f64; 12] = [
    5.60, 5.92, 5.88, 6.05, 6.01, 6.20, 6.13, 6.35, 6.30, 6.52, 6.47, 6.80,
];
/// ODRPACK iterates on numerical derivatives: its slopes are good to about 1e-7.
const ITERATED: f64 = 1e-6;

fn pairs() -> Vec<(f64, f64)> {
    X.into_iter().zip(Y).collect()
}

#[test]
fn slope_offset_and_jackknife_are_those_of_orthogonal_distance_regression() {
    for (first, second, slope) in [
        (0.06, 0.09, 1.173_441_127_456_972),
        (0.10, 0.05, 1.201_077_473_856_889_7),
    ] {
        let found = Conversion::fit(&pairs(), first, second).expect("a line");
        assert!((found.slope.mean - slope).abs() < ITERATED, "{found:?}");
        assert!((found.offset.mean - 6.185_833_333).abs() < ITERATED);
        assert!((found.pivot - 7.065).abs() < 1e-12);
        assert!((found.correlation - 0.975_490_865_743_640_9).abs() < 1e-12);
    }
    let found = Conversion::fit(&pairs(), 0.06, 0.09).expect("a line");
    assert!(
        (found.slope.sd - 0.095_617_714_151_578_41).abs() < 1e-5,
        "{found:?}"
    );
}

#[test]
fn laws_of_a_line_with_errors_both_ways() {
    let there = Conversion::fit(&pairs(), 0.06, 0.09).expect("a line");
    // Turned round it is the same line.
    let turned: Vec<(f64, f64)> = pairs().into_iter().map(|(x, y)| (y, x)).collect();
    let back = Conversion::fit(&turned, 0.09, 0.06).expect("a line");
    assert!((there.slope.mean * back.slope.mean - 1.0).abs() < 1e-12);
    // Units of either test only scale it; order of people does not matter.
    let mut scaled: Vec<(f64, f64)> = pairs()
        .into_iter()
        .map(|(x, y)| (10.0 * x + 3.0, 2.0 * y - 1.0))
        .collect();
    scaled.reverse();
    let found = Conversion::fit(&scaled, 0.6, 0.18).expect("a line");
    assert!((found.slope.mean - 0.2 * there.slope.mean).abs() < 1e-12);
    assert!((found.between_people - 2.0 * there.between_people).abs() < 1e-9);
    // With an exact first test it is the plain regression: slope = Sxy / Sxx.
    let exact = Conversion::fit(&pairs(), 1e-9, 0.09).expect("a line");
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let (mx, my) = (mean(&X), mean(&Y));
    let sxy: f64 = X.iter().zip(Y).map(|(x, y)| (x - mx) * (y - my)).sum();
    let sxx: f64 = X.iter().map(|x| (x - mx).powi(2)).sum();
    assert!((exact.slope.mean - sxy / sxx).abs() < 1e-6);
}

#[test]
fn no_line_is_made_of_nothing() {
    let few = &pairs()[..7];
    assert!(matches!(
        Conversion::fit(few, 0.06, 0.09),
        Err(MeasureError::TooFew { found: 7, .. })
    ));
    let same = vec![(7.0, 6.0); 12];
    let falling: Vec<(f64, f64)> = pairs().into_iter().map(|(x, y)| (x, -y)).collect();
    let unrelated: Vec<(f64, f64)> = (0..12)
        .map(|i| (f64::from(i), if i % 2 == 0 { 1.0 } else { 1.01 }))
        .collect();
    for pairs in [same, falling, unrelated] {
        assert!(matches!(
            Conversion::fit(&pairs, 0.06, 0.09),
            Err(MeasureError::Undefined { .. })
        ));
    }
    let mut bad = pairs();
    bad[3].1 = f64::NAN;
    assert!(matches!(
        Conversion::fit(&bad, 0.06, 0.09),
        Err(MeasureError::NotFinite { .. })
    ));
    assert!(Conversion::fit(&pairs(), 0.0, 0.09).is_err());
}
