//! The jobs: read, then time the work alone.

use std::path::Path;
use std::time::Instant;

use plimsoll_measure::growth::{self, Model as Curves, Row, Sample};
use plimsoll_measure::level::{
    Learning, Model, Normal, Observation, Outcome, Series, Start, Test, levels,
};
use plimsoll_measure::mixed::{
    Column, Criterion, Data, Design, RandomTerm, Settings, Weights, fit, intercept,
};
use plimsoll_measure::study::{Trials, six_correlations, study as analysed};
use serde_json::{Value, json};

use crate::Fault;
use crate::data::{Numbers, TRIALS};

/// Athletes and tests each of the level.
const ATHLETES: usize = 10_000;
const TESTS: usize = 12;

/// Turns of a job that takes milliseconds.
const TURNS: usize = 5;

/// Reads columns of numbers.
fn columns(path: &Path, wanted: usize) -> Result<Vec<Vec<f64>>, Fault> {
    let mut columns = vec![Vec::new(); wanted];
    for row in csv::Reader::from_path(path)?.records() {
        let row = row?;
        for (column, cell) in columns.iter_mut().zip(row.iter()) {
            column.push(cell.parse::<f64>()?);
        }
    }
    Ok(columns)
}

/// value ~ week + (week | athlete), by REML.
pub fn mixed(folder: &Path) -> Result<Value, Fault> {
    let read = columns(&folder.join("mixed.csv"), 3)?;
    let [athlete, week, value] = read.as_slice() else {
        return Err("three columns".into());
    };
    let groups: Vec<usize> = athlete.iter().map(|a| *a as usize).collect();
    let rows = value.len();
    let begun = Instant::now();
    let random = RandomTerm::new(
        "athlete",
        groups,
        vec![intercept(rows), Column::new("week", week.clone())],
    );
    let data = Data {
        response: value.clone(),
        design: Design {
            fixed: vec![intercept(rows), Column::new("week", week.clone())],
            random: vec![random],
        },
        weights: Weights::Equal,
    };
    let found = fit(&data, &Settings::new(Criterion::Reml))?;
    let s = begun.elapsed().as_secs_f64();
    Ok(
        json!({ "s": s, "rows": rows, "log_likelihood": found.log_likelihood,
        "converged": found.convergence.converged }),
    )
}

/// Levels of many athletes, whole scores, on two threads.
pub fn level() -> Result<Value, Fault> {
    let mut numbers = Numbers::from(4);
    let start = Start::From(Normal {
        mean: 7.2,
        sd: 0.25,
    });
    let model = Model::new(start, 0.0002, vec![Test::anchor(0.07)], Learning::NONE)?;
    let mut squad = Vec::new();
    for _ in 0..ATHLETES {
        let mut level = 7.2 + 0.25 * numbers.normal();
        let mut seen = Vec::new();
        for test in 0..TESTS {
            level += 0.03 * numbers.normal();
            let bouts = ((level + 0.07 * numbers.normal()).exp() / 40.0)
                .floor()
                .max(1.0);
            let outcome = Outcome::Between {
                lower: (40.0 * bouts).ln(),
                upper: (40.0 * (bouts + 1.0)).ln(),
            };
            seen.push(Observation::plain(4.0 * test as f64, 0, outcome));
        }
        squad.push(Series::new(seen)?);
    }
    let begun = Instant::now();
    let found = levels(&model, &squad, 0.90, 2)?;
    let s = begun.elapsed().as_secs_f64();
    let good = found.iter().filter(|one| one.is_ok()).count();
    Ok(json!({ "s": s, "athletes": ATHLETES, "tests": TESTS, "levels": good }))
}

/// Smooth L, M and S in age.
pub fn lms(folder: &Path) -> Result<Value, Fault> {
    let read = columns(&folder.join("lms.csv"), 2)?;
    let [age, value] = read.as_slice() else {
        return Err("two columns".into());
    };
    let rows: Vec<Row> = age
        .iter()
        .zip(value)
        .map(|(a, v)| Row::new(*a, *v))
        .collect();
    let begun = Instant::now();
    let fitted = growth::fit(&Sample::from_rows(&rows)?, &Curves::smooth())?;
    let s = begun.elapsed().as_secs_f64();
    let medians: Vec<f64> = [10.0, 13.0, 16.0]
        .iter()
        .map(|age| fitted.at(*age).map(|lms| lms.parts().1))
        .collect::<Result<_, _>>()?;
    Ok(
        json!({ "s": s, "rows": rows.len(), "log_likelihood": fitted.log_likelihood(), "medians": medians,
        "converged": fitted.convergence().converged }),
    )
}

/// The six intraclass correlations alone, and a whole reliability study; best of five of each.
pub fn study(folder: &Path) -> Result<Value, Fault> {
    let read = columns(&folder.join("study.csv"), 3)?;
    let value = read.get(2).ok_or("three columns")?;
    let (mut alone, mut whole) = (f64::INFINITY, f64::INFINITY);
    let (mut icc, mut error, mut logs) = (Vec::new(), 0.0, false);
    for _ in 0..TURNS {
        let begun = Instant::now();
        let trials = Trials::complete(value, TRIALS)?;
        let six = six_correlations(&trials, 0.95)?;
        alone = alone.min(begun.elapsed().as_secs_f64());
        icc = six.iter().map(|one| one.icc.value).collect();
        let begun = Instant::now();
        let trials = Trials::complete(value, TRIALS)?;
        let found = analysed(&trials, 0.95)?;
        whole = whole.min(begun.elapsed().as_secs_f64());
        (error, logs) = (found.raw.pooled?.error.value, found.logs.is_ok());
    }
    Ok(
        json!({ "s": alone, "whole_s": whole, "people": value.len() / TRIALS, "icc": icc, "error": error,
        "logs": logs }),
    )
}
