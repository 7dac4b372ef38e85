//! Data sets and shorthand for the tests of mixed models.

use plimsoll_measure::mixed::{
    Column, Criterion, Data, Design, Fit, RandomTerm, Settings, Weights, fit, intercept,
};

const SLEEP: &str = include_str!("../golden/lme4_sleepstudy.csv");
const ORTHODONT: &str = include_str!("../golden/nlme_orthodont.csv");

/// Random part of a test model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slopes {
    /// Random intercept only.
    None,
    /// Intercept and slope, correlated.
    Correlated,
    /// Intercept and slope, uncorrelated.
    Uncorrelated,
}

fn table(text: &str) -> Vec<Vec<String>> {
    csv::Reader::from_reader(text.as_bytes())
        .records()
        .map(|row| row.expect("a row").iter().map(str::to_owned).collect())
        .collect()
}

/// Returns numbers of a column.
fn numbers(rows: &[Vec<String>], column: usize) -> Vec<f64> {
    rows.iter()
        .map(|row| row[column].parse().expect("a number"))
        .collect()
}

/// Returns codes for the labels in alphabetical order.
fn codes(rows: &[Vec<String>], column: usize) -> Vec<usize> {
    let mut labels: Vec<&String> = rows.iter().map(|row| &row[column]).collect();
    labels.sort();
    labels.dedup();
    rows.iter()
        .map(|row| labels.binary_search(&&row[column]).expect("a label"))
        .collect()
}

/// Returns a term with an intercept and one slope.
pub fn slope_term(name: &str, groups: Vec<usize>, slope: Column, slopes: Slopes) -> RandomTerm {
    let columns = vec![intercept(groups.len()), slope];
    match slopes {
        Slopes::None => RandomTerm::intercept(name, groups),
        Slopes::Correlated => RandomTerm::new(name, groups, columns),
        Slopes::Uncorrelated => RandomTerm::new(name, groups, columns).uncorrelated(),
    }
}

/// Reaction on days, 18 subjects x 10 days.
pub fn sleep(slopes: Slopes) -> Data {
    let rows = table(SLEEP);
    let days = Column::new("Days", numbers(&rows, 1));
    let random = vec![slope_term("Subject", codes(&rows, 2), days.clone(), slopes)];
    Data {
        response: numbers(&rows, 0),
        design: Design {
            fixed: vec![intercept(rows.len()), days],
            random,
        },
        weights: Weights::Equal,
    }
}

/// Distance on age - 11, sex and their product, 27 children x 4 ages.
pub fn orthodont(slopes: Slopes) -> Data {
    let rows = table(ORTHODONT);
    let age: Vec<f64> = numbers(&rows, 1).iter().map(|a| a - 11.0).collect();
    let sex: Vec<f64> = rows
        .iter()
        .map(|row| f64::from(row[3] == "Female"))
        .collect();
    let both = age.iter().zip(&sex).map(|(a, s)| a * s).collect();
    let age = Column::new("I(age - 11)", age);
    let random = vec![slope_term("Subject", codes(&rows, 2), age.clone(), slopes)];
    Data {
        response: numbers(&rows, 0),
        design: Design {
            fixed: vec![
                intercept(rows.len()),
                age,
                Column::new("SexFemale", sex),
                Column::new("I(age - 11):SexFemale", both),
            ],
            random,
        },
        weights: Weights::Equal,
    }
}

/// Fits and insists on convergence.
#[track_caller]
pub fn fitted(data: &Data, criterion: Criterion) -> Fit {
    let fit = fit(data, &Settings::new(criterion)).expect("a fit");
    assert!(fit.convergence.converged, "{:?}", fit.convergence);
    fit
}

/// Random numbers of the crossed example: multiplicative congruential, multiplier 16807.
pub struct Lehmer(pub u64);

impl Lehmer {
    /// Returns a number between 0 and 1.
    pub fn uniform(&mut self) -> f64 {
        self.0 = self.0 * 16807 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }

    /// Returns a roughly normal number: twelve uniform ones less 6.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// Rows of the crossed example.
pub struct Crossed {
    pub plate: Vec<usize>,
    pub sample: Vec<usize>,
    pub t: Vec<f64>,
    pub y: Vec<f64>,
}

/// 24 plates by 6 samples, two readings each, a quarter of them missing; 208 rows.
pub fn crossed_rows() -> Crossed {
    let mut random = Lehmer(12345);
    let mut draw =
        |n: usize, sd: f64| -> Vec<f64> { (0..n).map(|_| sd * random.normal()).collect() };
    let (a, b, slope) = (draw(24, 1.2), draw(6, 0.9), draw(24, 0.5));
    let mut out = Crossed {
        plate: Vec::new(),
        sample: Vec::new(),
        t: Vec::new(),
        y: Vec::new(),
    };
    for i in 0..24 {
        for (j, sample) in b.iter().enumerate() {
            for _ in 0..2 {
                let t = random.uniform() * 4.0;
                let error = random.normal();
                if random.uniform() < 0.25 {
                    continue;
                }
                out.plate.push(i + 1);
                out.sample.push(j + 1);
                out.t.push(t);
                out.y
                    .push(10.0 + 0.7 * t + a[i] + slope[i] * t + sample + 0.6 * error);
            }
        }
    }
    out
}

/// The crossed example: y on t, plates and samples crossed.
pub fn crossed(slopes: Slopes) -> Data {
    let rows = crossed_rows();
    let t = Column::new("t", rows.t);
    Data {
        design: Design {
            fixed: vec![intercept(rows.y.len()), t.clone()],
            random: vec![
                slope_term("plate", rows.plate, t, slopes),
                RandomTerm::intercept("sample", rows.sample),
            ],
        },
        response: rows.y,
        weights: Weights::Equal,
    }
}

/// The same rows, nested: samples, and plate mod 4 within samples.
pub fn nested() -> Data {
    let rows = crossed_rows();
    let inner = rows
        .plate
        .iter()
        .zip(&rows.sample)
        .map(|(p, s)| s * 10 + p % 4);
    Data {
        design: Design {
            fixed: vec![intercept(rows.y.len()), Column::new("t", rows.t)],
            random: vec![
                RandomTerm::intercept("inner", inner.collect()),
                RandomTerm::intercept("sample", rows.sample),
            ],
        },
        response: rows.y,
        weights: Weights::Equal,
    }
}
