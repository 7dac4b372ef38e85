//! What a model asks of its rows before it is fitted, in words: columns that vary, groups that can be told apart.
//! Facts of arithmetic only; whether the model is a good one is not decided here.

use plimsoll_measure::mixed::Design;

use super::coding::{Coding, Factor};
use super::error::MixedError;
use super::rows::Rows;

/// A column counts as a mix of others when less than this share of its length is left.
const DEPENDENT: f64 = 1e-7;
/// Fewer levels give no usable SD; common practice, no source.
const FEW: usize = 5;
/// Most levels that are listed by position lookup; more make the coding slow.
const MOST_CATEGORIES: usize = 60;

fn constant(values: &[f64]) -> bool {
    values.windows(2).all(|w| w[0] == w[1])
}

/// Refuses columns that do not vary and categories that are too few or too many.
pub(super) fn columns(outcome: &str, coding: &Coding, rows: &Rows) -> Result<(), MixedError> {
    let numbers = coding
        .terms
        .iter()
        .flatten()
        .filter_map(|f| match f {
            Factor::Number(column) => Some(column),
            Factor::Category(..) => None,
        })
        .chain(coding.groups.iter().flat_map(|g| &g.ask.slopes));
    let outcome = outcome.to_owned();
    for column in [&outcome].into_iter().chain(numbers) {
        let values = rows.of(column);
        if constant(values) {
            let value = values.first().copied().unwrap_or(f64::NAN);
            return Err(MixedError::model(
                format!("column `{column}`"),
                format!("{value} in all {} rows", values.len()),
                "a column that varies",
                "take it out of the model, or use rows in which it differs",
            ));
        }
    }
    for factor in coding.terms.iter().flatten() {
        let Factor::Category(column, labels) = factor else {
            continue;
        };
        if !(2..=MOST_CATEGORIES).contains(&labels.len()) {
            return Err(MixedError::model(
                format!("column `{column}`"),
                format!("{} categories in {} rows", labels.len(), rows.rows.len()),
                format!("2 to {MOST_CATEGORIES} categories"),
                "take it out, or treat it as a group whose levels scatter",
            ));
        }
    }
    Ok(())
}

/// Refuses groups that put the rows together in the same way.
pub(super) fn twins(design: &Design) -> Result<(), MixedError> {
    let same_rows = |groups: &[usize]| -> Vec<usize> {
        let mut first = std::collections::BTreeMap::new();
        let marks = groups.iter().enumerate();
        marks
            .map(|(row, group)| *first.entry(*group).or_insert(row))
            .collect()
    };
    let all: Vec<Vec<usize>> = design.random.iter().map(|t| same_rows(&t.groups)).collect();
    for (at, one) in all.iter().enumerate() {
        if let Some(other) = all[..at].iter().position(|earlier| earlier == one) {
            return Err(MixedError::model(
                format!("group `{}`", design.random[at].name),
                format!(
                    "the same rows together as in group `{}`",
                    design.random[other].name
                ),
                "groups that cut the rows differently",
                "take one of the two out",
            ));
        }
    }
    Ok(())
}

/// Returns how many of `columns` are no mix of those before them.
pub(super) fn rank(columns: &[Vec<f64>]) -> usize {
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut axes: Vec<Vec<f64>> = Vec::new();
    for column in columns {
        let size = dot(column, column).sqrt();
        let mut left = column.clone();
        for _ in 0..2 {
            for axis in &axes {
                let along = dot(&left, axis);
                left.iter_mut().zip(axis).for_each(|(x, a)| *x -= along * a);
            }
        }
        let rest = dot(&left, &left).sqrt();
        if rest > DEPENDENT * size {
            axes.push(left.iter().map(|x| x / rest).collect());
        }
    }
    axes.len()
}

/// Returns how many differences between the levels of a group the fixed columns leave.
pub(super) fn freedom(design: &Design, term: usize) -> usize {
    let groups = &design.random[term].groups;
    let levels: std::collections::BTreeSet<usize> = groups.iter().copied().collect();
    // Each fixed column takes up one difference at most.
    if levels.len() > design.fixed.len() + 1 {
        return levels.len() - design.fixed.len();
    }
    let mut columns: Vec<Vec<f64>> = design.fixed.iter().map(|c| c.values.clone()).collect();
    let before = rank(&columns);
    for level in levels {
        columns.push(groups.iter().map(|&g| f64::from(g == level)).collect());
    }
    rank(&columns) - before
}

/// Refuses groups of which nothing is left, and returns remarks on those of which little is.
pub(super) fn groups(design: &Design, coding: &Coding) -> Result<Vec<String>, MixedError> {
    twins(design)?;
    let mut notes = Vec::new();
    for (term, group) in coding.groups.iter().enumerate() {
        let (name, levels) = (group.ask.name(), group.levels());
        if levels < 2 {
            return Err(MixedError::model(
                format!("group `{name}`"),
                format!("{levels} level"),
                "two levels or more; five or more give a usable SD",
                "take the group out, or use rows of more levels",
            ));
        }
        if freedom(design, term) == 0 {
            return Err(MixedError::model(
                format!("group `{name}`"),
                format!("{levels} levels, whose differences the fixed columns take up wholly"),
                "a group with differences that are left over",
                "take the group out, or take out the fixed columns that are the same within each level",
            ));
        }
        if levels < FEW {
            notes.push(format!(
                "`{name}` has only {levels} levels: how much they scatter is hardly known"
            ));
        }
        for slope in &group.ask.slopes {
            if !design.fixed.iter().any(|c| &c.name == slope) {
                notes.push(format!(
                    "`{slope}` differs by `{name}` but is not among the fixed columns, so its mean is held at 0"
                ));
            }
        }
    }
    Ok(notes)
}
