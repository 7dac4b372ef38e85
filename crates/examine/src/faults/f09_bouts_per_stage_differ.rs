//! Fault 9: competing tables of one test, because a minute is not a whole number of shuttles.
//! Detection: a sibling ladder reconciles the rows; or the sheet implies a table that nobody wrote down.

use super::code::Code;
use super::f02_label_distance_disagree::together;
use super::finding::Draft;
use super::ladder_phase::header;
use super::state::{Group, State};
use crate::forensics::{Implied, imply};
use crate::header::Field;

/// A whole sheet that a sibling of the declared ladder reconciles.
pub(super) fn sheet(state: &mut State<'_>, group: &Group, table: usize, other: usize, fits: usize) {
    let case = state.case;
    let (Some(here), Some(there)) = (case.table(table), case.table(other)) else {
        return;
    };
    let (here, there) = (here.id.clone(), there.id.clone());
    let judged = group.evidence.rows_with(2);
    let rows: Vec<usize> = group.evidence.rows.iter().map(|r| *r as usize).collect();
    let first = group
        .evidence
        .rows
        .iter()
        .enumerate()
        .find(|(i, _)| !group.evidence.is_exact(*i, table))
        .map_or(0, |(_, r)| *r as usize);
    state.report(Draft {
        code: Code::BoutsPerStageDiffer,
        rows,
        column: header(state, Field::Label),
        what: format!("the bouts per stage are not those of `{here}` but of a competing table"),
        found: format!("{} in row {}", together(state, first), case.number(first)),
        allowed: format!(
            "rows that agree on `{here}`; {} of {judged} do",
            group.evidence.exact_rows(table, 0)
        ),
        suggestion: format!(
            "`{there}` reconciles {fits} of {judged} rows: import them as `{there}`"
        ),
        probability: group.conclusion.posterior.get(other).copied(),
    });
}

/// A table that the sheet implies and no ladder has; returns whether it told one. It must explain at
/// least `enough` rows, which another explanation may already reach.
pub(super) fn implied(
    state: &mut State<'_>,
    group: &Group,
    declared: Option<usize>,
    enough: usize,
) -> bool {
    let case = state.case;
    // Which test it is a form of decides the leg: the declared one, or else 20 m.
    let leg = declared
        .and_then(|t| case.table(t))
        .and_then(|t| t.leg_m)
        .unwrap_or(20.0);
    let mut rows: Vec<(u16, u16, u32)> = Vec::new();
    for row in &group.evidence.rows {
        let seen = case.observed(*row as usize);
        let Some(label) = seen.label else { continue };
        let Some(bout) = label.bout else { continue };
        let total = match (seen.distance_m, seen.shuttles.or(seen.bouts)) {
            (Some(m), _) if (m / leg).fract() == 0.0 => (m / leg) as u32,
            (None, Some(n)) => n,
            _ => continue,
        };
        rows.push((label.stage, bout, total));
    }
    let Some(found) = imply(&rows).filter(|f| f.fits >= enough) else {
        return false;
    };
    let whose = declared
        .and_then(|t| case.table(t))
        .map_or_else(|| "a known ladder".to_owned(), |t| format!("`{}`", t.id));
    let all: Vec<usize> = group.evidence.rows.iter().map(|r| *r as usize).collect();
    let first = all.first().copied().unwrap_or(0);
    state.report(Draft {
        code: Code::BoutsPerStageDiffer,
        rows: all,
        column: header(state, Field::Label),
        what: "the sheet follows a table of its own".to_owned(),
        found: format!("{}; {}", together(state, first), words(&found)),
        allowed: format!("the bouts per stage of {whose}"),
        suggestion: "find out which table was used and add it as a test definition; do not mix it with others".to_owned(),
        probability: None,
    });
    true
}

fn words(found: &Implied) -> String {
    let stages: Vec<String> = found
        .bouts
        .iter()
        .take(12)
        .map(|(stage, n)| format!("{n} in stage {stage}"))
        .collect();
    let starts: Vec<String> = found
        .before
        .iter()
        .take(12)
        .map(|(stage, n)| format!("{n} before stage {stage}"))
        .collect();
    let list = if stages.len() >= 2 { stages } else { starts };
    format!(
        "{} of {} rows fit a table with {}",
        found.fits,
        found.rows,
        list.join(", ")
    )
}
