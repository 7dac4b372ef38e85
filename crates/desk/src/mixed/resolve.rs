//! Puts the headers of the table in place of the names in a question, and refuses a column in two places.

use std::collections::BTreeSet;

use super::ask::{Ask, GroupAsk};
use super::error::MixedError;
use super::rows::Needs;
use super::table::MixedTable;

/// The question with headers, its fixed terms, and its columns of categories.
pub(super) type Resolved = (Ask, Vec<Vec<String>>, BTreeSet<String>);

/// Puts the headers in place of the names that were given.
pub(super) fn resolve(table: &MixedTable, ask: &Ask) -> Result<Resolved, MixedError> {
    let header = |name: &String| Ok::<_, MixedError>(table.column(name)?.header.clone());
    let headers = |names: &[String]| names.iter().map(header).collect::<Result<Vec<_>, _>>();
    let terms = ask.terms(|name| table.has(name));
    let terms = terms.iter().map(|t| headers(t));
    let group = |g: &GroupAsk| {
        Ok::<_, MixedError>(GroupAsk {
            column: header(&g.column)?,
            within: g.within.as_ref().map(header).transpose()?,
            slopes: headers(&g.slopes)?,
            correlated: g.correlated,
        })
    };
    let found = Ask {
        outcome: header(&ask.outcome)?,
        error: ask.error.as_ref().map(header).transpose()?,
        groups: ask.groups.iter().map(group).collect::<Result<_, _>>()?,
        ..ask.clone()
    };
    let factors = headers(&ask.factors)?.into_iter().collect();
    Ok((found, terms.collect::<Result<_, _>>()?, factors))
}

/// Adds the outcome and its error, which may stand nowhere else.
pub(super) fn outcome_needs(ask: &Ask, needs: &mut Needs) -> Result<(), MixedError> {
    if ask.groups.is_empty() {
        return Err(MixedError::model(
            "the groups",
            "none",
            "one or more columns whose levels have several rows each",
            "name the column that says whose reading a row is",
        ));
    }
    for column in [Some(&ask.outcome), ask.error.as_ref()]
        .into_iter()
        .flatten()
    {
        if needs.numbers.contains(column) || needs.labels.contains(column) {
            return Err(MixedError::model(
                format!("column `{column}`"),
                "the outcome, or its error, in a second place",
                "each of them once",
                "name other columns for the fixed part and the groups",
            ));
        }
        needs.numbers.insert(column.clone());
    }
    if ask.log {
        let why = "since its logarithm is taken";
        needs.above_zero.insert(ask.outcome.clone(), why);
    }
    if let Some(error) = &ask.error {
        needs
            .above_zero
            .insert(error.clone(), "the error of the row");
    }
    Ok(())
}
