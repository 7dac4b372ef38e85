//! Which ladders are forms of the same test: one course, nearly the same speeds, other bouts a stage.
//! Computed from the ladders themselves, so that a user's own form is recognised too.

use crate::rungs::Table;

/// Returns whether two ladders are competing tables of one test: continuous running over the same
/// leg, same order of speeds in most stages, but another number of bouts in some stage or another
/// first stage. Ladders with rests that differ in their bouts are different tests.
pub(crate) fn is_sibling(a: &Table, b: &Table) -> bool {
    a.continuous.is_some()
        && a.continuous == b.continuous
        && a.id != b.id
        && same_family(a, b)
        && !same_rungs(a, b)
}

/// Returns whether two ladders share the leg and at least 60 % of their stage labels at nearly the
/// same speed (1 km/h: forms start half a step or a step apart).
fn same_family(a: &Table, b: &Table) -> bool {
    let (Some(leg_a), Some(leg_b)) = (a.leg_m, b.leg_m) else {
        return false;
    };
    if (leg_a - leg_b).abs() > 1e-9 {
        return false;
    }
    let speeds = |t: &Table| -> Vec<(String, f64)> {
        t.stage_labels
            .iter()
            .enumerate()
            .filter_map(|(i, label)| {
                let first = t.rungs.partition_point(|r| r.stage < i);
                t.rung(first)
                    .filter(|r| r.stage == i)
                    .map(|r| (label.clone(), r.speed_kmh))
            })
            .collect()
    };
    let (a, b) = (speeds(a), speeds(b));
    let smaller = a.len().min(b.len());
    let near = a
        .iter()
        .filter(|(label, v)| {
            b.iter()
                .any(|(l, w)| l == label && (v - w).abs() <= 1.0 + 1e-9)
        })
        .count();
    smaller > 1 && near * 10 >= smaller * 6
}

/// Returns whether two ladders have the same labels at the same distances.
fn same_rungs(a: &Table, b: &Table) -> bool {
    a.len() == b.len()
        && a.rungs
            .iter()
            .zip(&b.rungs)
            .all(|(x, y)| x.label == y.label && (x.distance_m - y.distance_m).abs() < 1e-6)
}
