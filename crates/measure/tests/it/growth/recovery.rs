//! Curves that data were drawn from are found again, within the errors that are stated.

use plimsoll_measure::growth::{LmsFit, Model, SE_LIMIT, Sample, Smoothing, fit};

use crate::simulate::{people, truth};

const AGES: [f64; 9] = [8.5, 9.5, 10.5, 11.5, 13.0, 14.0, 15.0, 16.5, 17.5];
const Z: [f64; 5] = [-1.88, -0.67, 0.0, 0.67, 1.88];

fn sample(n: usize, seed: u64) -> Sample {
    Sample::from_rows(&people(n, seed)).expect("a sample")
}

fn smooth(sample: &Sample, smoothing: Smoothing) -> LmsFit {
    let model = Model {
        smoothing,
        ..Model::smooth()
    };
    let fit = fit(sample, &model).expect("a fit");
    assert!(fit.convergence().converged, "{:?}", fit.convergence());
    assert!(fit.convergence().gradient < 1e-4, "{:?}", fit.convergence());
    fit
}

/// Error of a fitted centile in true z units.
fn error(fit: &LmsFit, age: f64, z: f64) -> f64 {
    let value = fit.centile(age, z, SE_LIMIT).expect("a centile").value;
    truth(age).standing(value).expect("a z").z - z
}

/// 20 000 people: every centile within 0.12 z (4 times the typical stated error there).
#[test]
fn curved_l_m_and_s() {
    let sample = sample(20_000, 1);
    for smoothing in [Smoothing::Reml, Smoothing::Gaic(2.0), Smoothing::Bic] {
        let fit = smooth(&sample, smoothing);
        for age in AGES {
            for z in Z {
                let off = error(&fit, age, z);
                assert!(off.abs() < 0.12, "{smoothing:?} {age} {z}: {off}");
            }
            let (l, _, s) = fit.at(age).expect("an LMS").parts();
            let (true_l, _, true_s) = truth(age).parts();
            assert!(
                (l - true_l).abs() < 0.35,
                "{smoothing:?} L {age}: {l} {true_l}"
            );
            assert!(
                (s / true_s - 1.0).abs() < 0.06,
                "{smoothing:?} S {age}: {s} {true_s}"
            );
        }
        let [l, m, s] = fit.effective_df();
        assert!(l > 2.0 && l < 11.0 && m > 4.0 && m < 18.0 && s > 3.0 && s < 11.0);
    }
}

/// BIC asks more for a degree of freedom than AIC and never takes more of them.
#[test]
fn stronger_criteria_are_smoother() {
    let sample = sample(3_000, 5);
    let total = |smoothing| {
        smooth(&sample, smoothing)
            .effective_df()
            .iter()
            .sum::<f64>()
    };
    let (aic, three, bic) = (
        total(Smoothing::Gaic(2.0)),
        total(Smoothing::Gaic(3.0)),
        total(Smoothing::Bic),
    );
    assert!(
        aic >= three - 0.05 && three >= bic - 0.05,
        "{aic} {three} {bic}"
    );
    assert!(aic > bic);
}

/// The 95 % intervals of centiles hold the truth 89 to 99 times in a hundred: 60 draws, three
/// ages and centiles, so 540 looks (standard error 1 to 2 points as looks of a draw hang together).
#[test]
fn stated_errors_hold() {
    let (mut held, mut looks) = (0.0, 0.0);
    for seed in 0..60 {
        let fit = smooth(&sample(1_500, 100 + seed), Smoothing::Reml);
        for age in [10.0, 13.0, 16.0] {
            for z in [-1.28, 0.0, 1.28] {
                let centile = fit.centile(age, z, 1.0).expect("a centile");
                let interval = centile.interval(0.95).expect("an interval");
                let value = truth(age).value_at(z).expect("a value");
                held += f64::from(u8::from(interval.contains(value)));
                looks += 1.0;
            }
        }
    }
    let share = held / looks;
    assert!((0.89..=0.99).contains(&share), "{share}");
}

/// A straight ln M, a constant L and S are found as nearly straight: about one degree of freedom
/// more than the two of a line, as the smoothness is never put at its limit, and no centile off.
/// The limit was 3.0 while the plain marginal likelihood chose; that choice called bent curves straight
/// (one third of all L), and its centiles held 86 % where 90 % was said.
#[test]
fn nothing_is_bent_that_is_straight() {
    let rows: Vec<_> = people(4_000, 9)
        .into_iter()
        .map(|mut row| {
            let z = truth(row.age).standing(row.value).expect("z").z;
            row.value = (6.0 + 0.05 * row.age + 0.15 * z).exp();
            row
        })
        .collect();
    let fit = smooth(
        &Sample::from_rows(&rows).expect("a sample"),
        Smoothing::Reml,
    );
    for freedom in fit.effective_df() {
        assert!((1.9..3.4).contains(&freedom), "{:?}", fit.effective_df());
    }
    for age in AGES {
        let (l, m, s) = fit.at(age).expect("an LMS").parts();
        let off = m.ln() - 6.0 - 0.05 * age;
        assert!(off.abs() < 0.01, "M {age}: {off}");
        assert!((s / 0.15 - 1.0).abs() < 0.06, "S {age}: {s}");
        assert!(l.abs() < 0.35, "L {age}: {l}");
    }
}
