//! Centiles of fitted reference curves: their intervals over many samples, curves drawn or one hard set.

use plimsoll_measure::growth::{Model, Row, Sample, Smoothing, fit};
use plimsoll_measure::norms::Lms;

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::{LEVELS, Tally};

const RUNS: usize = 1500;
const PEOPLE: usize = 1500;
const AGES: [f64; 4] = [10.0, 12.0, 14.0, 16.0];
/// Youngest age, and years of ages.
const FIRST: f64 = 8.0;
const YEARS: f64 = 10.0;
/// The 3rd, 25th, 50th, 75th and 97th centile.
const PLACES: [f64; 5] = [-1.880_794, -0.674_490, 0.0, 0.674_490, 1.880_794];
const KNOWN: &str = "a centile, curves drawn, smoothness known";
const CHOSEN: &str = "a centile, curves drawn, smoothness chosen by the fit";
const HARD: &str = "a centile, hard curves, smoothness chosen by the fit";
/// The hard curves, centile by centile.
const APART: [&str; 5] = ["3rd", "25th", "50th", "75th", "97th"];
/// SDs of the bends of L, ln M and ln S.
const BENDS: [f64; 3] = [0.05, 0.015, 0.03];

/// Heights of L, ln M and ln S drawn as the model supposes them: cubic splines on even stretches of
/// age whose coefficients are a line with bends that add up at random.
fn drawn(numbers: &mut Numbers) -> [Vec<f64>; 3] {
    [
        (8, 0.3, 0.0, BENDS[0]),
        (15, 6.2, 0.05, BENDS[1]),
        (8, -1.7, 0.0, BENDS[2]),
    ]
    .map(|(stretches, from, slope, bend)| {
        let (mut height, mut slope): (f64, f64) = (from, slope);
        (0..stretches + 3)
            .map(|_| {
                let now = height;
                slope += bend * numbers.normal();
                height += slope;
                now
            })
            .collect()
    })
}

/// The height of a spline at an age.
fn between(coefficients: &[f64], age: f64) -> f64 {
    let stretches = coefficients.len() - 3;
    let place = (age - FIRST) / YEARS * stretches as f64;
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

/// One curved set of L, M and S, invented: its spread has a peak narrower than a fit makes it.
fn hard(age: f64) -> Result<Lms, Fault> {
    let x = (age - 13.0) / 5.0;
    let m = 900.0 + 350.0 * x + 120.0 * (1.6 * x).sin();
    let s = 0.17 + 0.05 * (-2.0 * x * x).exp();
    Ok(Lms::new(-0.4 + 0.9 * x * x, m, s)?)
}

type Truth<'a> = &'a dyn Fn(f64) -> Result<Lms, Fault>;

/// A sample from these curves.
fn sampled(numbers: &mut Numbers, truth: Truth<'_>) -> Result<Sample, Fault> {
    let mut rows = Vec::with_capacity(PEOPLE);
    while rows.len() < PEOPLE {
        let age = FIRST + (365.0 * YEARS * numbers.even()).round() / 365.0;
        // A draw that no value has is drawn again.
        if let Ok(value) = truth(age)?.value_at(numbers.normal()) {
            rows.push(Row::new(age, value));
        }
    }
    Ok(Sample::from_rows(&rows)?)
}

/// Fits, and says of each centile and level whether its interval held the truth.
fn looked(
    sample: &Sample,
    smoothing: Smoothing,
    truth: Truth<'_>,
    mut saw: impl FnMut(usize, usize, bool),
) -> Result<(), Fault> {
    let model = Model {
        smoothing,
        ..Model::smooth()
    };
    let found = fit(sample, &model)?;
    for age in AGES {
        for (place, z) in PLACES.into_iter().enumerate() {
            let Ok(value) = truth(age)?.value_at(z) else {
                continue;
            };
            let centile = found.centile(age, z, 1.0)?;
            for (at, level) in LEVELS.into_iter().enumerate() {
                saw(place, at, centile.interval(level)?.contains(value));
            }
        }
    }
    Ok(())
}

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(8, unit);
    let mut tally = Tally::default();
    let [l, ln_m, ln_s] = drawn(&mut numbers);
    let curves = |age: f64| -> Result<Lms, Fault> {
        let (m, s) = (between(&ln_m, age).exp(), between(&ln_s, age).exp());
        Ok(Lms::new(between(&l, age), m, s)?)
    };
    let sample = sampled(&mut numbers, &curves)?;
    let known = Smoothing::Fixed(BENDS.map(|bend| bend.powi(-2)));
    for (name, smoothing) in [(KNOWN, known), (CHOSEN, Smoothing::Reml)] {
        looked(&sample, smoothing, &curves, |_, level, held| {
            tally.held(name, level, held);
        })?;
    }
    let sample = sampled(&mut numbers, &hard)?;
    looked(&sample, Smoothing::Reml, &hard, |place, level, held| {
        tally.held(HARD, level, held);
        tally.held(APART[place], level, held);
    })?;
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let mut tally = over(RUNS, unit)?;
    let mut section = Section::new(
        "Centiles of a reference",
        "1500 samples of 1500 people from 8 to 18 years; the 3rd, 25th, 50th, 75th and 97th centile at 10, 12, 14 and 16 \
         years. Curves are drawn as the model supposes them, and fitted with their smoothness known or chosen from the \
         sample; then one hard set, the same in each sample, whose spread has a narrow peak at 13. Intervals of smooth \
         curves promise their level over the curve and not at each place of it (Nychka 1988, from memory): the last \
         table shows where they fall short.",
    );
    let mut apart = tally.clone();
    apart.covers.retain(|(name, _)| APART.contains(name));
    tally.covers.retain(|(name, _)| !APART.contains(name));
    section.covers(&tally);
    let rows = apart.covers.iter().map(|(name, _)| {
        vec![
            format!("the {name} centile"),
            format!("{:.1} %", apart.share(name)),
        ]
    });
    section.table(
        &["of the hard curves", "90 % intervals hold"],
        rows.collect(),
    );
    Ok(section)
}
