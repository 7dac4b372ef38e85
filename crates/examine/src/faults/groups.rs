//! Puts rows together that are read against one ladder, and draws the conclusion for each group.
//! Rows are weighed in the order in which they were run: by day, then as they stand.

use std::collections::BTreeMap;

use super::state::{Group, State};
use crate::forensics::{Evidence, conclude};

pub(super) fn run(state: &mut State<'_>) {
    let case = state.case;
    if !case.read.values.any() {
        return;
    }
    let mut rows: BTreeMap<Option<usize>, Vec<usize>> = BTreeMap::new();
    for row in 0..case.rows() {
        if !state.is_absent(row) && !state.is_claimed(row) && !case.is_unpaced(row) {
            rows.entry(case.test(row)).or_default().push(row);
        }
    }
    for (test, rows) in rows {
        let evidence = Evidence::of(
            &case.sheet,
            &case.read.values,
            &case.ladders,
            rows.iter().copied(),
        );
        let mut order: Vec<usize> = (0..evidence.rows.len()).collect();
        if case.read.date.is_some() {
            let day = |i: &usize| {
                evidence
                    .rows
                    .get(*i)
                    .and_then(|row| case.day(*row as usize))
            };
            order.sort_by_key(day);
        }
        let conclusion = conclude(&evidence, &case.ladders, &order, |i| {
            evidence
                .rows
                .get(i)
                .map_or(0, |row| case.number(*row as usize))
        });
        let declared = test
            .and_then(|t| case.ladders.tests.get(t))
            .and_then(|t| t.table);
        state.groups.push(Group {
            test,
            declared,
            evidence,
            conclusion,
            order,
        });
    }
}
