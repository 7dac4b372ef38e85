//! Agreement of two assessors beyond chance: Cohen's kappa, plain or weighted.
//! Kappa falls when one answer is rare; the shares it is made of are given beside it.
//! Source: Cohen 1960, 1968; large-sample SE of Fleiss, Cohen & Everitt 1969 (from memory).

use crate::{Interval, MeasureError, check, dist};

/// How far apart answers of ordered categories count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KappaWeights {
    /// Same or not.
    Same,
    /// By the number of categories between them.
    Linear,
    /// By its square.
    Quadratic,
}

/// Agreement beyond chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kappa {
    /// The value, 1 at most.
    pub value: f64,
    /// Standard error for large numbers.
    pub se: f64,
    /// Interval from it; none when all answers agree, where the standard error is no guide.
    pub interval: Option<Interval>,
    /// Observed (weighted) share of agreement.
    pub observed: f64,
    /// Share expected from the two assessors' own rates.
    pub expected: f64,
    /// Number of cases both judged.
    pub n: usize,
}

/// Returns kappa of two lists of answers, categories numbered from 0 to `categories` - 1.
pub fn kappa(
    first: &[usize],
    second: &[usize],
    categories: usize,
    weights: KappaWeights,
    level: f64,
) -> Result<Kappa, MeasureError> {
    let z = dist::two_sided(level, None)?;
    let table = table(first, second, categories)?;
    let n = first.len() as f64;
    let c = categories;
    let weight = |i: usize, j: usize| {
        let apart = i.abs_diff(j) as f64 / (c as f64 - 1.0);
        match weights {
            KappaWeights::Same => f64::from(u8::from(i == j)),
            KappaWeights::Linear => 1.0 - apart,
            KappaWeights::Quadratic => 1.0 - apart * apart,
        }
    };
    let rows: Vec<f64> = (0..c)
        .map(|i| (0..c).map(|j| table[i * c + j]).sum())
        .collect();
    let columns: Vec<f64> = (0..c)
        .map(|j| (0..c).map(|i| table[i * c + j]).sum())
        .collect();
    let by_row: Vec<f64> = (0..c)
        .map(|i| (0..c).map(|j| weight(i, j) * columns[j]).sum())
        .collect();
    let by_column: Vec<f64> = (0..c)
        .map(|j| (0..c).map(|i| weight(i, j) * rows[i]).sum())
        .collect();
    let cells = || (0..c).flat_map(|i| (0..c).map(move |j| (i, j)));
    let observed: f64 = cells().map(|(i, j)| weight(i, j) * table[i * c + j]).sum();
    let expected: f64 = rows.iter().zip(&by_row).map(|(a, b)| a * b).sum();
    if 1.0 - expected <= 1e-12 {
        return Err(MeasureError::NoSpread {
            what: "the answers of both assessors",
            hint: "agreement beyond chance needs cases with different answers",
        });
    }
    let value = (observed - expected) / (1.0 - expected);
    let spread: f64 = cells()
        .map(|(i, j)| {
            let part = weight(i, j) - (by_row[i] + by_column[j]) * (1.0 - value);
            table[i * c + j] * part * part
        })
        .sum();
    let variance = (spread - (value - expected * (1.0 - value)).powi(2)).max(0.0);
    let se = (variance / n).sqrt() / (1.0 - expected);
    let disagrees = observed < 1.0 - 1e-12;
    Ok(Kappa {
        value,
        se,
        interval: disagrees.then_some(Interval {
            lower: (value - z * se).max(-1.0),
            upper: (value + z * se).min(1.0),
            level,
        }),
        observed,
        expected,
        n: first.len(),
    })
}

/// Shares of each pair of answers.
fn table(first: &[usize], second: &[usize], categories: usize) -> Result<Vec<f64>, MeasureError> {
    if first.len() != second.len() {
        return Err(MeasureError::UnequalLengths {
            what: "answers of two assessors",
            first: first.len(),
            second: second.len(),
        });
    }
    for (what, found) in [
        ("cases judged by both assessors", first.len()),
        ("categories", categories),
    ] {
        if found < 2 {
            return Err(MeasureError::TooFew {
                what,
                found,
                needed: 2,
            });
        }
    }
    if categories > 1000 {
        return Err(MeasureError::TooMany {
            what: "categories",
            found: categories,
            allowed: 1000,
        });
    }
    let mut table = vec![0.0; categories * categories];
    let share = 1.0 / first.len() as f64;
    for (&a, &b) in first.iter().zip(second) {
        for answer in [a, b] {
            check::within(
                "category of an answer",
                answer as f64,
                answer < categories,
                "0 to the number of categories less 1",
            )?;
        }
        table[a * categories + b] += share;
    }
    Ok(table)
}
