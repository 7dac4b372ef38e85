//! Fault 20: more tested than enrolled, tiny groups, groups of one sex among mixed ones.
//! Detection: counts where the file has them; otherwise group sizes and sex ratios of its own rows.
//! A squad of one sex by design is not told: only a group that differs from the others of the file.

use std::collections::BTreeMap;

use super::code::Code;
use super::finding::Draft;
use super::state::State;
use crate::cell::{self, CountReading, Sex};
use crate::header::Field;
use crate::readings::Read;

/// Smallest share of a group that is tested in earnest; below, a typing error is likelier.
/// Reported extremes run from 1 % to 18 000 % (Bai 2015, abstract read).
const FEWEST: f64 = 0.05;
/// Groups needed for comparison.
const GROUPS: usize = 3;
/// A group this small beside groups of `USUAL` is told.
const TINY: usize = 2;
const USUAL: usize = 12;
/// People needed before one sex only is odd: by chance 2 in 32 768 in a mixed school.
const MIXED: usize = 15;

pub(super) fn run(state: &mut State<'_>) {
    counts(state);
    sizes(state);
}

fn counts(state: &mut State<'_>) {
    let case = state.case;
    let enrolled = Read::of(&case.sheet, &case.mapping, Field::Enrolled, cell::count);
    let tested = Read::of(&case.sheet, &case.mapping, Field::Tested, cell::count);
    let (Some(enrolled), Some(tested)) = (enrolled, tested) else {
        return;
    };
    for row in 0..case.rows() {
        let (Some(CountReading::Value(all)), Some(CountReading::Value(some))) =
            (enrolled.at(&case.sheet, row), tested.at(&case.sheet, row))
        else {
            continue;
        };
        let share = f64::from(*some) / f64::from((*all).max(1));
        let what = if some > all {
            "more people tested than enrolled"
        } else if *all >= 20 && *some > 0 && share < FEWEST {
            "hardly anybody tested"
        } else {
            continue;
        };
        state.report(Draft {
            code: Code::GroupImplausible,
            rows: vec![row],
            column: case.mapping.header_of(Field::Tested),
            what: what.to_owned(),
            found: format!("{some} of {all} ({:.0} %)", share * 100.0),
            allowed: format!("{:.0} to 100 % of the enrolled", FEWEST * 100.0),
            suggestion: "check both counts and that the group was not uploaded twice".to_owned(),
            probability: None,
        });
    }
}

/// One group of the file's own rows.
#[derive(Default)]
struct Group {
    people: usize,
    female: usize,
    male: usize,
    rows: Vec<usize>,
}

fn sizes(state: &mut State<'_>) {
    let case = state.case;
    if !case.mapping.has(Field::Squad) || case.mapping.has(Field::Enrolled) {
        return;
    }
    let mut groups: BTreeMap<u32, Group> = BTreeMap::new();
    let mut seen = vec![false; case.people.list.len()];
    for row in 0..case.rows() {
        let kind = case.kind(Field::Squad, row);
        let Some(person) = case.people.at(row).filter(|_| kind != 0) else {
            continue;
        };
        let group = groups.entry(kind).or_default();
        group.rows.push(row);
        // A person with several rows counts once, in the first group.
        if std::mem::replace(seen.get_mut(person).unwrap_or(&mut true), true) {
            continue;
        }
        group.people += 1;
        match case.people.list.get(person).and_then(|p| p.sex) {
            Some(Sex::Female) => group.female += 1,
            Some(Sex::Male) => group.male += 1,
            _ => {}
        }
    }
    if groups.len() < GROUPS {
        return;
    }
    let mut by_size: Vec<usize> = groups.values().map(|g| g.people).collect();
    by_size.sort_unstable();
    let usual = by_size.get(by_size.len() / 2).copied().unwrap_or(0);
    let is_mixed = |g: &&Group| {
        let n = g.female + g.male;
        n >= MIXED && g.female * 10 >= n * 3 && g.male * 10 >= n * 3
    };
    let mixed = groups.values().filter(is_mixed).count();
    let with_sex = groups
        .values()
        .filter(|g| g.female + g.male >= MIXED)
        .count();
    let names: Vec<(u32, String)> = groups
        .iter()
        .filter_map(|(k, g)| Some((*k, case.cell(Field::Squad, *g.rows.first()?).to_string())))
        .collect();
    for (kind, group) in &groups {
        let Some(first) = group.rows.first().copied() else {
            continue;
        };
        if group.people <= TINY && usual >= USUAL {
            let written = case.cell(Field::Squad, first).to_string();
            let near = names
                .iter()
                .filter(|(k, _)| k != kind)
                .filter(|(k, _)| groups.get(k).is_some_and(|g| g.people > TINY))
                .map(|(_, n)| (similarity(&written, n), n))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            let suggestion = match near {
                Some((similar, name)) if similar >= 0.6 => format!("perhaps `{name}` was meant"),
                _ => "check the group's name and whether people are missing".to_owned(),
            };
            let draft = group_draft(
                state,
                group,
                first,
                format!("a group of {} beside groups of about {usual}", group.people),
                format!("groups of more than {TINY}"),
                suggestion,
            );
            state.report(draft);
            continue;
        }
        let n = group.female + group.male;
        let one_sex = n >= MIXED && (group.female == 0 || group.male == 0);
        if one_sex && mixed >= GROUPS - 1 && (mixed + 1) * 4 >= with_sex * 3 {
            let draft = group_draft(
                state,
                group,
                first,
                format!("{n} people of one sex, while the other groups are mixed"),
                "a mixed group like the others".to_owned(),
                "check that the other half was uploaded and that the sex column was filled"
                    .to_owned(),
            );
            state.report(draft);
        }
    }
}

fn similarity(a: &str, b: &str) -> f64 {
    strsim::normalized_damerau_levenshtein(&crate::header::fold(a), &crate::header::fold(b))
}

fn group_draft(
    state: &State<'_>,
    group: &Group,
    first: usize,
    what: String,
    allowed: String,
    suggestion: String,
) -> Draft {
    Draft {
        code: Code::GroupImplausible,
        rows: group.rows.clone(),
        column: state.case.mapping.header_of(Field::Squad),
        what,
        found: state.case.written(Field::Squad, first),
        allowed,
        suggestion,
        probability: None,
    }
}
