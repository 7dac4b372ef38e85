//! Curves drawn as the model supposes them: their smoothness is chosen from the sample.
//! Cubic splines on even stretches whose coefficients are a line with bends that add up at random.

use plimsoll_measure::growth::{Model, Row, Sample, fit};
use plimsoll_measure::norms::Lms;

use crate::simulate::Draws;

const SAMPLES: u64 = 60;
const PEOPLE: usize = 1_000;
/// Least share of 90 % intervals that hold: 2 standard errors (1.2 points, as looks of a sample
/// hang together) below 90 %. With the top of the marginal likelihood alone 86.4 % held.
const LEAST: f64 = 0.876;

fn coefficients(draws: &mut Draws, stretches: usize, from: f64, slope: f64, sd: f64) -> Vec<f64> {
    let (mut height, mut slope) = (from, slope);
    let mut next = || {
        let now = height;
        slope += sd * draws.normal();
        height += slope;
        now
    };
    (0..stretches + 3).map(|_| next()).collect()
}

fn height(coefficients: &[f64], age: f64) -> f64 {
    let stretches = coefficients.len() - 3;
    let place = (age - 8.0) / 10.0 * stretches as f64;
    let at = (place as usize).min(stretches - 1);
    let t = place - at as f64;
    let weights = [
        (1.0 - t).powi(3),
        3.0 * t.powi(3) - 6.0 * t * t + 4.0,
        -3.0 * t.powi(3) + 3.0 * t * t + 3.0 * t + 1.0,
        t.powi(3),
    ];
    let each = weights.iter().zip(&coefficients[at..]);
    each.map(|(w, c)| w * c / 6.0).sum()
}

/// No bent curve is called straight, and intervals of centiles keep their level though the
/// smoothness is chosen from the sample.
#[test]
fn errors_hold_where_smoothness_is_chosen() {
    let (mut held, mut looks) = (0.0, 0.0);
    for seed in 0..SAMPLES {
        let mut draws = Draws::new(70_000 + seed);
        let l = coefficients(&mut draws, 8, 0.3, 0.0, 0.05);
        let m = coefficients(&mut draws, 15, 6.2, 0.05, 0.015);
        let s = coefficients(&mut draws, 8, -1.7, 0.0, 0.03);
        let truth = |age: f64| {
            Lms::new(
                height(&l, age),
                height(&m, age).exp(),
                height(&s, age).exp(),
            )
            .expect("an LMS")
        };
        let mut rows = Vec::with_capacity(PEOPLE);
        while rows.len() < PEOPLE {
            let age = 8.0 + (3650.0 * draws.uniform()).round() / 365.0;
            if let Ok(value) = truth(age).value_at(draws.normal()) {
                rows.push(Row::new(age, value));
            }
        }
        let sample = Sample::from_rows(&rows).expect("a sample");
        let fit = fit(&sample, &Model::smooth()).expect("a fit");
        let freedom = fit.effective_df();
        assert!(freedom.iter().all(|f| *f > 2.1), "{seed}: {freedom:?}");
        for age in [10.0, 12.0, 14.0, 16.0] {
            for z in [-1.88, -0.67, 0.0, 0.67, 1.88] {
                let centile = fit.centile(age, z, 1.0).expect("a centile");
                let interval = centile.interval(0.9).expect("an interval");
                let value = truth(age).value_at(z).expect("a value");
                held += f64::from(u8::from(interval.contains(value)));
                looks += 1.0;
            }
        }
    }
    let share = held / looks;
    assert!((LEAST..0.93).contains(&share), "{share}");
}
