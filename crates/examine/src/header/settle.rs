//! Settles what a header leaves open by looking at the values: result, stage and bout, shuttles.
//! Only candidates are moved or re-scored here; the choice between columns is made in `mapping`.

use super::field::Field;
use super::profile::Profile;
use super::recognise::Candidate;

/// A column under discussion.
pub(super) struct Open {
    pub candidates: Vec<Candidate>,
    pub profile: Profile,
}

/// Largest number of bouts or shuttles in one stage of any ladder known, with room to spare.
const MOST_IN_STAGE: f64 = 20.0;

/// Adjusts the candidates of every column by the values.
pub(super) fn settle(columns: &mut [Open]) {
    let has_distance = columns
        .iter()
        .any(|c| matches!(c.candidates.first(), Some((Field::Distance, s)) if *s >= 0.7));
    for column in columns.iter_mut() {
        alone(column, has_distance);
    }
    pair_stage_and_bout(columns);
    for column in columns {
        column
            .candidates
            .sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    }
}

/// What one column's values say on their own.
fn alone(column: &mut Open, has_distance: bool) {
    let p = &column.profile;
    for (field, score) in &mut column.candidates {
        match field {
            Field::Result => *field = result_field(p),
            Field::Test if p.numeric > 0.8 && p.n > 0 => *field = result_field(p),
            Field::PreviousDistance if p.dotted > 0.5 => *field = Field::PreviousLabel,
            Field::Age if p.n > 0 && p.numeric < 0.2 => *field = Field::Squad,
            Field::Stage if p.dotted > 0.3 => *field = Field::Label,
            Field::Label if !has_distance && p.twenties > 0.9 && p.median >= 100.0 => {
                *field = Field::Distance;
                *score *= 0.8;
            }
            Field::Date if p.n > 0 && p.dated < 0.3 && p.whole < 0.5 => *score *= 0.5,
            Field::Time if p.of_day > 0.5 => *field = Field::Timestamp,
            Field::Wave if p.dated > 0.5 => *field = Field::Date,
            Field::Reason if p.n > 0 && p.reasons < 0.2 && *score >= 1.0 && p.numeric > 0.5 => {
                *score *= 0.5;
            }
            _ => {}
        }
    }
}

/// Which kind of result the numbers are.
fn result_field(p: &Profile) -> Field {
    if p.colon > 0.5 {
        Field::Time
    } else if p.dotted > 0.3 && p.halves >= 1.0 && p.n >= 8 {
        Field::Speed
    } else if p.dotted > 0.3 || p.dated > 0.3 {
        Field::Label
    } else if p.median >= 100.0 {
        Field::Distance
    } else if p.median > 25.0 {
        Field::Shuttles
    } else {
        Field::Label
    }
}

/// A column of whole stages beside a column of small whole numbers is a label in two parts.
fn pair_stage_and_bout(columns: &mut [Open]) {
    let is_stage = |c: &Open| {
        matches!(c.candidates.first(), Some((Field::Label | Field::Stage, s)) if *s >= 0.7)
            && c.profile.n > 0
            && c.profile.whole > 0.9
            && c.profile.max <= 60.0
    };
    let is_bout = |c: &Open| {
        c.candidates.iter().any(|(f, s)| {
            matches!(f, Field::BoutInStage | Field::Shuttles | Field::Bouts) && *s >= 0.7
        }) && c.profile.n > 0
            && c.profile.whole > 0.9
            && c.profile.max <= MOST_IN_STAGE
    };
    let stage = columns.iter().position(is_stage);
    let bout = columns.iter().position(is_bout);
    if let (Some(stage), Some(bout)) = (stage, bout) {
        if let Some(column) = columns.get_mut(stage) {
            column.candidates = vec![(Field::Stage, 1.0)];
        }
        if let Some(column) = columns.get_mut(bout) {
            column.candidates = vec![(Field::BoutInStage, 1.0)];
        }
    } else {
        // Without a partner a stage is the whole label, and a bout is a count.
        for column in columns {
            for (field, _) in &mut column.candidates {
                match field {
                    Field::Stage => *field = Field::Label,
                    Field::BoutInStage => *field = Field::Bouts,
                    _ => {}
                }
            }
        }
    }
}
