//! What is wrong with one row on one ladder: lost zero, other unit, one bout off, no step, or unexplained.
//! Looks at all columns of the row together; decides nothing about the sheet.

use crate::forensics::Observed;
use crate::header::Field;
use crate::rungs::Table;

/// A timed run's distance depends on how turns are allowed for; forms differ by up to about 6 %.
/// Derived: 1 to 3 turns of 0.7 s in runs of 30 s.
const TIMED_RUN_SLACK: f64 = 0.06;

/// What is wrong with a row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum RowFault {
    /// No column says anything.
    Nothing,
    /// Everything agrees; the bout when one column names it.
    Fine(Option<usize>),
    /// The label is not on the ladder; the bout that the other columns name.
    NotOnLadder(Option<usize>),
    /// The label has lost its zero; the bout meant.
    ZeroLost(usize),
    /// A column is in another unit: which, in what, and the bout meant.
    OtherUnit(Field, &'static str, usize),
    /// The label (or the count) is one bout ahead (+1) or behind (-1) of the bout named.
    OneOff(Field, i32, usize),
    /// No bout ends at this distance: those before and after do.
    NotAStep(f64, f64),
    /// Beyond the end of the ladder.
    BeyondEnd(Field),
    /// Columns disagree: the odd one, and the bout the others name.
    Disagree(Field, Option<usize>),
}

/// One column's view: the bouts it allows.
#[derive(Debug, Clone)]
struct View {
    field: Field,
    places: Vec<(usize, usize)>,
}

impl View {
    fn allows(&self, bout: usize) -> bool {
        self.places.iter().any(|(a, z)| (*a..=*z).contains(&bout))
    }

    fn single(&self) -> Option<usize> {
        match self.places.as_slice() {
            [(a, z)] if a == z => Some(*a),
            _ => None,
        }
    }
}

/// Says what is wrong with a row on a ladder.
pub(crate) fn diagnose(table: &Table, seen: &Observed<'_>) -> RowFault {
    let views = views(table, seen);
    if views.is_empty() {
        return RowFault::Nothing;
    }
    let label = seen.label.map(|l| table.by_label(&l.text));
    let others: Vec<&View> = views.iter().filter(|v| v.field != Field::Label).collect();
    match label {
        Some(Some(bout)) => with_label(table, seen, bout, &others),
        Some(None) => {
            if let Some(zero) = zero_bout(table, seen)
                && !others.is_empty()
                && others.iter().all(|v| v.allows(zero))
            {
                return RowFault::ZeroLost(zero);
            }
            RowFault::NotOnLadder(consensus(&others))
        }
        None => without_label(table, seen, &others),
    }
}

fn zero_bout(table: &Table, seen: &Observed<'_>) -> Option<usize> {
    table.by_label(&seen.label?.with_zero()?)
}

fn views(table: &Table, seen: &Observed<'_>) -> Vec<View> {
    let mut views = Vec::new();
    let one = |bout: usize| vec![(bout, bout)];
    if let Some(label) = seen.label {
        views.push(View {
            field: Field::Label,
            places: table.by_label(&label.text).map(one).unwrap_or_default(),
        });
    }
    if let Some(metres) = seen.distance_m {
        views.push(View {
            field: Field::Distance,
            places: distance_places(table, metres),
        });
    }
    if seen.bouts.is_some() {
        let only = Observed {
            bouts: seen.bouts,
            ..Observed::default()
        };
        views.push(View {
            field: Field::Bouts,
            places: only.count_places(table).into_iter().flat_map(one).collect(),
        });
    }
    if seen.shuttles.is_some() {
        let only = Observed {
            shuttles: seen.shuttles,
            ..Observed::default()
        };
        views.push(View {
            field: Field::Shuttles,
            places: only.count_places(table).into_iter().flat_map(one).collect(),
        });
    }
    if let Some(time) = seen.time {
        views.push(View {
            field: Field::Time,
            places: Observed::time_places(time.seconds, time.half_step, table)
                .into_iter()
                .collect(),
        });
    }
    if let Some(kmh) = seen.speed_kmh {
        views.push(View {
            field: Field::Speed,
            places: Observed::speed_places(kmh, table).into_iter().collect(),
        });
    }
    views
}

fn distance_places(table: &Table, metres: f64) -> Vec<(usize, usize)> {
    if let Some(bout) = table.by_distance(metres) {
        return vec![(bout, bout)];
    }
    if table.whole_steps {
        return Vec::new();
    }
    let near = |i: usize| {
        table
            .rung(i)
            .is_some_and(|r| (r.distance_m - metres).abs() <= TIMED_RUN_SLACK * r.distance_m)
    };
    let fits: Vec<usize> = (0..table.len()).filter(|i| near(*i)).collect();
    match (fits.first(), fits.last()) {
        (Some(a), Some(z)) => vec![(*a, *z)],
        _ => Vec::new(),
    }
}

/// Returns the bout that the views which name one agree on, provided that every view allows it.
fn consensus(views: &[&View]) -> Option<usize> {
    let candidates = views
        .iter()
        .flat_map(|v| v.places.iter())
        .flat_map(|(a, z)| [*a, *z]);
    let mut best: Option<(usize, usize)> = None;
    for bout in candidates {
        let n = views.iter().filter(|v| v.allows(bout)).count();
        let named = views.iter().any(|v| v.places.contains(&(bout, bout)));
        if named && n == views.len() && best.is_none_or(|b| n > b.0) {
            best = Some((n, bout));
        }
    }
    best.map(|b| b.1)
}

fn with_label(table: &Table, seen: &Observed<'_>, bout: usize, others: &[&View]) -> RowFault {
    let bad: Vec<&&View> = others.iter().filter(|v| !v.allows(bout)).collect();
    if bad.is_empty() {
        return RowFault::Fine(Some(bout));
    }
    if let Some(zero) = zero_bout(table, seen)
        && others.iter().all(|v| v.allows(zero))
    {
        return RowFault::ZeroLost(zero);
    }
    if let [view] = bad.as_slice()
        && let Some(unit) = other_unit(table, seen, view.field, bout)
    {
        return RowFault::OtherUnit(view.field, unit, bout);
    }
    if let Some(reference) = consensus(others) {
        if reference.abs_diff(bout) == 1 && bad.len() == others.len() {
            let by = if bout > reference { 1 } else { -1 };
            return RowFault::OneOff(Field::Label, by, reference);
        }
        if bad.len() == others.len() && others.len() > 1 {
            return RowFault::Disagree(Field::Label, Some(reference));
        }
    } else if let [time] = others
        && time.field == Field::Time
        && let Some((a, z)) = time.places.first()
    {
        // The clock alone: one bout before it or after it is an announced or forgotten bout.
        if bout == z + 1 {
            return RowFault::OneOff(Field::Label, 1, *z);
        }
        if bout + 1 == *a {
            return RowFault::OneOff(Field::Label, -1, *a);
        }
    }
    if let Some(fault) = outside(table, seen) {
        return fault;
    }
    match bad.as_slice() {
        [view] if others.len() > 1 => RowFault::Disagree(view.field, Some(bout)),
        [view] => RowFault::Disagree(Field::Label, view.single()),
        _ => RowFault::Disagree(Field::Label, consensus(others)),
    }
}

fn without_label(table: &Table, seen: &Observed<'_>, views: &[&View]) -> RowFault {
    if let Some(bout) = consensus(views) {
        return RowFault::Fine(Some(bout));
    }
    let all_allow = |bout: usize| views.iter().all(|v| v.allows(bout));
    let ranges_only = views
        .iter()
        .all(|v| matches!(v.field, Field::Time | Field::Speed));
    if ranges_only {
        let overlap = views
            .iter()
            .flat_map(|v| v.places.iter())
            .find_map(|(a, z)| [*a, *z].into_iter().find(|b| all_allow(*b)));
        if overlap.is_some() {
            return RowFault::Fine(None);
        }
    }
    // Two columns that disagree: is one of them in another unit?
    for view in views {
        let rest: Vec<&View> = views
            .iter()
            .copied()
            .filter(|v| v.field != view.field)
            .collect();
        if rest.is_empty() {
            break;
        }
        if let Some(bout) = consensus(&rest).or_else(|| first_common(&rest))
            && let Some(unit) = other_unit(table, seen, view.field, bout)
        {
            return RowFault::OtherUnit(view.field, unit, bout);
        }
    }
    if let Some(fault) = outside(table, seen) {
        return fault;
    }
    let named = |field: Field| {
        views
            .iter()
            .find(|v| v.field == field)
            .and_then(|v| v.single())
    };
    let count = named(Field::Bouts).map(|b| (Field::Bouts, b)).or_else(|| {
        views
            .iter()
            .find(|v| v.field == Field::Shuttles)
            .and_then(|v| v.places.first())
            .map(|p| (Field::Shuttles, p.0))
    });
    if let (Some(distance), Some((field, n))) = (named(Field::Distance), count)
        && views
            .iter()
            .find(|v| v.field == field)
            .is_some_and(|v| v.places.iter().any(|(a, _)| a.abs_diff(distance) == 1))
    {
        let by = if n > distance { 1 } else { -1 };
        return RowFault::OneOff(field, by, distance);
    }
    let odd = views
        .iter()
        .map(|v| v.field)
        .min()
        .unwrap_or(Field::Distance);
    RowFault::Disagree(odd, named(Field::Distance))
}

fn first_common(views: &[&View]) -> Option<usize> {
    views
        .iter()
        .flat_map(|v| v.places.iter())
        .flat_map(|(a, z)| [*a, *z])
        .find(|b| views.iter().all(|v| v.allows(*b)))
}

/// Distance between steps, or anything beyond the end.
fn outside(table: &Table, seen: &Observed<'_>) -> Option<RowFault> {
    if let Some(metres) = seen.distance_m {
        if metres > table.end_m() + 0.5 {
            return Some(RowFault::BeyondEnd(Field::Distance));
        }
        if distance_places(table, metres).is_empty() {
            let (below, above) = table.steps_around(metres);
            return Some(RowFault::NotAStep(below, above));
        }
    }
    let count = [(Field::Bouts, seen.bouts), (Field::Shuttles, seen.shuttles)];
    for (field, n) in count {
        if let Some(n) = n {
            let only = Observed {
                shuttles: seen.shuttles,
                bouts: seen.bouts,
                ..Observed::default()
            };
            if only.count_places(table).is_empty() && n as usize > table.len() {
                return Some(RowFault::BeyondEnd(field));
            }
        }
    }
    if let Some(time) = seen.time
        && Observed::time_places(time.seconds, time.half_step, table).is_none()
        && table
            .rungs
            .last()
            .is_some_and(|r| time.seconds > r.finish_s)
    {
        return Some(RowFault::BeyondEnd(Field::Time));
    }
    None
}

/// Returns the unit in which a column would fit a bout, in words.
fn other_unit(
    table: &Table,
    seen: &Observed<'_>,
    field: Field,
    bout: usize,
) -> Option<&'static str> {
    let rung = table.rung(bout)?;
    match field {
        Field::Distance => {
            let metres = seen.distance_m?;
            let leg = table.leg_m.unwrap_or(20.0);
            let is = |value: f64| (value - rung.distance_m).abs() <= 0.5 + 1e-9;
            if metres.fract() == 0.0 && metres == (bout + 1) as f64 {
                Some("bouts")
            } else if is(metres * leg) {
                Some("shuttles")
            } else if is(metres * leg * 2.0) {
                Some("laps of two shuttles")
            } else if is(metres * 1_000.0) || (metres * 1_000.0 - rung.distance_m).abs() < 5.0 {
                Some("kilometres")
            } else if (metres * 0.9144 - rung.distance_m).abs() <= 1.0 {
                Some("yards")
            } else {
                None
            }
        }
        Field::Bouts | Field::Shuttles => {
            let n = f64::from(
                seen.bouts
                    .filter(|_| field == Field::Bouts)
                    .or(seen.shuttles)?,
            );
            let leg = table.leg_m.unwrap_or(20.0);
            let is = |value: f64| (value - rung.distance_m).abs() <= 0.5 + 1e-9;
            if is(n) {
                Some("metres")
            } else if is(n * leg) {
                Some("shuttles")
            } else if is(n * leg * 2.0) {
                Some("laps of two shuttles")
            } else {
                None
            }
        }
        Field::Time => {
            let other = seen.time?.other?;
            let (a, z) = Observed::time_places(other, 0.5, table)?;
            (a..=z)
                .contains(&bout)
                .then_some("minutes and seconds written with a point, or the other way round")
        }
        Field::Speed => {
            let kmh = seen.speed_kmh?;
            let fits = |factor: f64| {
                Observed::speed_places(kmh * factor, table)
                    .or_else(|| near_speed(kmh * factor, table))
                    .is_some_and(|(a, z)| (a..=z).contains(&bout))
            };
            if fits(3.6) {
                Some("metres a second")
            } else if fits(1.609_344) {
                Some("miles an hour")
            } else if fits(1.0 / 3.6) || fits(1.0 / 1.609_344) {
                Some("a unit other than the header's")
            } else {
                None
            }
        }
        _ => None,
    }
}

/// A converted speed was rounded in its own unit first, so it agrees less closely: 0.2 km/h.
fn near_speed(kmh: f64, table: &Table) -> Option<(usize, usize)> {
    let first = table.rungs.partition_point(|r| r.speed_kmh < kmh - 0.2);
    let after = table.rungs.partition_point(|r| r.speed_kmh <= kmh + 0.2);
    let last = after.checked_sub(1)?;
    (first <= last).then_some((first.saturating_sub(1), last))
}

#[cfg(test)]
mod tests {
    use std::sync::OnceLock;

    use plimsoll_ladder::Catalogue;

    use super::*;
    use crate::cell::{Label, LabelReading, label};
    use crate::rungs::Ladders;
    use crate::table::Cell;

    fn ladders() -> &'static Ladders {
        static LADDERS: OnceLock<Ladders> = OnceLock::new();
        LADDERS.get_or_init(|| Ladders::of(&Catalogue::built_in()))
    }

    fn table(id: &str) -> &'static Table {
        ladders()
            .tables
            .iter()
            .find(|t| t.id == id)
            .expect("a known test")
    }

    fn read(text: &str) -> Label {
        match label(&Cell::text(text)) {
            LabelReading::Label(label) => label,
            other => panic!("{other:?}"),
        }
    }

    fn of(id: &str, text: &str, distance_m: f64) -> RowFault {
        let label = read(text);
        diagnose(
            table(id),
            &Observed {
                label: Some(&label),
                distance_m: Some(distance_m),
                ..Observed::default()
            },
        )
    }

    #[test]
    fn label_and_distance() {
        // Source: the ladders of the catalogue; 14.3 is 560 m on ir1 (job analysis, section 0).
        assert_eq!(of("ir1", "14.3", 560.0), RowFault::Fine(Some(13)));
        assert_eq!(
            of("ir1", "14.3", 600.0),
            RowFault::OneOff(Field::Label, -1, 14)
        );
        assert_eq!(
            of("ir1", "14.3", 14.0),
            RowFault::OtherUnit(Field::Distance, "bouts", 13)
        );
        assert_eq!(
            of("ir1", "14.3", 28.0),
            RowFault::OtherUnit(Field::Distance, "shuttles", 13)
        );
        assert_eq!(
            of("ir1", "14.3", 0.56),
            RowFault::OtherUnit(Field::Distance, "kilometres", 13)
        );
        assert_eq!(of("ir1", "14.3", 570.0), RowFault::NotAStep(560.0, 600.0));
        assert_eq!(
            of("ir1", "14.3", 9_000.0),
            RowFault::BeyondEnd(Field::Distance)
        );
        assert_eq!(
            of("ir1", "14.3", 1_200.0),
            RowFault::Disagree(Field::Label, Some(29))
        );
        assert_eq!(of("ir1", "14.9", 800.0), RowFault::NotOnLadder(Some(19)));
        assert_eq!(of("ir1", "18.3", 1_840.0), RowFault::Fine(Some(45)));
        assert_eq!(of("ir2", "18.3", 280.0), RowFault::Fine(Some(6)));
    }

    #[test]
    fn a_lost_zero_is_seen_by_the_distance() {
        let whole = table("msr20_whole");
        let bout = whole.by_label("8.10").expect("level 8 has eleven shuttles");
        let metres = whole.rung(bout).expect("a bout").distance_m;
        assert_eq!(of("msr20_whole", "8.1", metres), RowFault::ZeroLost(bout));
    }

    #[test]
    fn time_and_speed_join_in() {
        let label = read("14.3");
        let seen = |time: f64, speed: f64| Observed {
            label: Some(&label),
            distance_m: Some(560.0),
            time: Some(crate::forensics::TimeSeen {
                seconds: time,
                half_step: 0.5,
                other: None,
            }),
            speed_kmh: Some(speed),
            ..Observed::default()
        };
        assert_eq!(
            diagnose(table("ir1"), &seen(282.0, 14.5)),
            RowFault::Fine(Some(13))
        );
        assert_eq!(
            diagnose(table("ir1"), &seen(282.0, 4.03)),
            RowFault::OtherUnit(Field::Speed, "metres a second", 13)
        );
        assert_eq!(
            diagnose(table("ir1"), &seen(900.0, 14.5)),
            RowFault::Disagree(Field::Time, Some(13))
        );
    }
}
