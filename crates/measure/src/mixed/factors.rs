//! Gathers terms with the same grouping into one factor and numbers the levels.
//! Random columns are scaled to root mean square 1, so that no unit rules the search.

use super::{RandomTerm, guard};
use crate::MeasureError;

/// One term inside a factor.
#[derive(Debug, Clone)]
pub(super) struct Slot {
    /// Position of the term as handed in.
    pub(super) term: usize,
    /// First column of the term inside the factor.
    pub(super) offset: usize,
    /// Number of its columns.
    pub(super) q: usize,
    /// Whether its columns may be correlated.
    pub(super) correlated: bool,
}

/// What stays known of a factor once the rows are summed up.
#[derive(Debug, Clone)]
pub(super) struct Shape {
    /// Its terms.
    pub(super) slots: Vec<Slot>,
    /// Number of columns.
    pub(super) q: usize,
    /// Labels of the levels, rising.
    pub(super) labels: Vec<usize>,
    /// Root mean square of each column.
    pub(super) scales: Vec<f64>,
}

/// A factor with its rows.
pub(super) struct Factor {
    /// What stays known.
    pub(super) shape: Shape,
    /// Level of each row, from 0.
    pub(super) index: Vec<u32>,
    /// Scaled columns, row by row.
    pub(super) z: Vec<f64>,
}

/// Returns the factors, the one with most effects first.
pub(super) fn gather(terms: &[RandomTerm]) -> Result<Vec<Factor>, MeasureError> {
    let mut members: Vec<Vec<usize>> = Vec::new();
    for (t, term) in terms.iter().enumerate() {
        match members
            .iter_mut()
            .find(|m| terms[m[0]].groups == term.groups)
        {
            Some(list) => list.push(t),
            None => members.push(vec![t]),
        }
    }
    let mut factors = members
        .iter()
        .map(|list| factor(terms, list))
        .collect::<Result<Vec<_>, _>>()?;
    factors.sort_by_key(|f| std::cmp::Reverse(f.shape.labels.len() * f.shape.q));
    Ok(factors)
}

fn factor(terms: &[RandomTerm], members: &[usize]) -> Result<Factor, MeasureError> {
    let groups = &terms[members[0]].groups;
    let mut labels = groups.clone();
    labels.sort_unstable();
    labels.dedup();
    let index = number(groups, &labels)?;
    let mut slots = Vec::new();
    let mut columns: Vec<&[f64]> = Vec::new();
    for &t in members {
        slots.push(Slot {
            term: t,
            offset: columns.len(),
            q: terms[t].columns.len(),
            correlated: terms[t].correlated,
        });
        columns.extend(terms[t].columns.iter().map(|c| c.values.as_slice()));
    }
    let scales: Vec<f64> = columns.iter().map(|c| root_mean_square(c)).collect();
    let q = columns.len();
    let mut z = vec![0.0; q * groups.len()];
    for (c, column) in columns.iter().enumerate() {
        for (row, value) in column.iter().enumerate() {
            z[row * q + c] = value / scales[c];
        }
    }
    distinct(&slots, &terms[members[0]].name, &z, q)?;
    let shape = Shape {
        slots,
        q,
        labels,
        scales,
    };
    Ok(Factor { shape, index, z })
}

fn number(groups: &[usize], labels: &[usize]) -> Result<Vec<u32>, MeasureError> {
    if u32::try_from(groups.len()).is_err() {
        return Err(guard::fault(
            "rows",
            groups.len().to_string(),
            "up to 4 000 000 000",
            "fit a part of the data",
        ));
    }
    Ok(groups
        .iter()
        .map(|g| labels.binary_search(g).unwrap_or(0) as u32)
        .collect())
}

fn root_mean_square(values: &[f64]) -> f64 {
    let largest = values.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    let mean = values.iter().map(|v| (v / largest).powi(2)).sum::<f64>() / values.len() as f64;
    largest * mean.sqrt()
}

/// Share of a column that must be left when the columns before it are taken out.
const DISTINCT: f64 = 1e-12;

/// Refuses columns whose SDs cannot be told apart: the same twice, or dependent and correlated.
fn distinct(slots: &[Slot], name: &str, z: &[f64], q: usize) -> Result<(), MeasureError> {
    let mut gram = vec![vec![0.0; q]; q];
    for row in z.chunks_exact(q) {
        for i in 0..q {
            for j in 0..=i {
                gram[i][j] += row[i] * row[j];
            }
        }
    }
    let twin = (0..q)
        .any(|i| (0..i).any(|j| gram[i][j].powi(2) >= (1.0 - DISTINCT) * gram[i][i] * gram[j][j]));
    let dependent = slots.iter().filter(|slot| slot.correlated).any(|slot| {
        let range = slot.offset..slot.offset + slot.q;
        let part: Vec<Vec<f64>> = range
            .clone()
            .map(|i| gram[i][slot.offset..=i].to_vec())
            .collect();
        rank_is_short(part)
    });
    if twin || dependent {
        return Err(guard::fault(
            format!("random term `{name}`"),
            "random columns that are sums of multiples of one another",
            "columns that each add something",
            "leave one out, so that their SDs can be told apart",
        ));
    }
    Ok(())
}

/// Eliminates the rows of a lower triangle; whether a pivot vanishes.
fn rank_is_short(mut lower: Vec<Vec<f64>>) -> bool {
    for j in 0..lower.len() {
        let before = lower[j][j];
        let sum: f64 = lower[j][..j].iter().map(|x| x * x).sum();
        let pivot = before - sum;
        if pivot <= DISTINCT * before {
            return true;
        }
        lower[j][j] = pivot.sqrt();
        for i in j + 1..lower.len() {
            let sum: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            lower[i][j] = (lower[i][j] - sum) / lower[j][j];
        }
    }
    false
}
