//! The card of training: groups and people with their runs, and what it all rests on.
//! Must not hide what was refused for one person while others get a run.

use plimsoll_interpret::data::{BasisKind, TrainingBasis};
use plimsoll_interpret::training::{
    Banded, Correction, Course, Doubt, Format, GroupChoices, Grouping, Intensity, MOST_PERCENT,
    Rules, Runner, Speeds, TrainingRefusal, Work, groups, intensity_of, range_of, work,
};
use plimsoll_report::{Cautions, TrainingCard, TrainingGroup, TrainingPerson};

use super::Entrant;
use super::notes::notes;

/// Where the speeds come from.
#[derive(Debug, Clone, PartialEq)]
pub struct Origin {
    /// What the final speed stands for.
    pub basis: TrainingBasis,
    /// Test, day or file, in words.
    pub words: String,
}

/// What training is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// Interval format.
    pub format: Format,
    /// How hard, when set by hand.
    pub intensity: Option<Intensity>,
    /// Where.
    pub course: Course,
    /// What is set by hand about turns and factors.
    pub rules: Rules,
    /// Groups; none for people on their own.
    pub groups: Option<GroupChoices>,
}

/// Returns the card.
///
/// # Errors
///
/// [`TrainingRefusal`] when a rule does not hold for everyone.
pub fn training_card(
    origin: &Origin,
    people: &[Entrant],
    wish: &Wish,
) -> Result<TrainingCard, TrainingRefusal> {
    let basis = &origin.basis;
    let kind = if wish.rules.factor.is_some() {
        BasisKind::Mas
    } else {
        basis.kind
    };
    if kind == BasisKind::Rests {
        let test = basis.test.clone();
        return Err(TrainingRefusal::AfterRests { test });
    }
    let intensity = intensity_of(&wish.format, kind, wish.intensity)?;
    let run = |reference_kmh: f64, sprint_kmh: Option<f64>| {
        let speeds = Speeds {
            reference_kmh,
            sprint_kmh,
        };
        let seconds = wish.format.periods.work_s;
        work(basis, &speeds, intensity, wish.course, seconds, &wish.rules)
    };
    let own: Vec<Option<Result<Work, TrainingRefusal>>> = people
        .iter()
        .map(|p| p.reference_kmh.map(|v| run(v, p.sprint_kmh)))
        .collect();
    // A rule that fails for everyone is the answer; one that fails for some is theirs.
    let mut given = own.iter().flatten();
    if !given.clone().any(Result::is_ok)
        && let Some(Err(first)) = given.next()
    {
        return Err(first.clone());
    }
    let grouping = wish
        .groups
        .as_ref()
        .map(|choices| groups(&runners(people), choices))
        .transpose()?;
    let groups = runs_of_groups(grouping.as_ref(), intensity, &run)?;
    let mut lines: Vec<TrainingPerson> = people
        .iter()
        .zip(&own)
        .enumerate()
        .map(|(index, (person, own))| line(index, person, own.as_ref(), grouping.as_ref(), &groups))
        .collect();
    for line in &mut lines {
        if kind == BasisKind::Final && line.group_percent.is_some_and(|p| p > MOST_PERCENT) {
            line.marks
                .push(format!("group's run above {MOST_PERCENT} % of own speed"));
        }
    }
    let speed = |p: &TrainingPerson| p.reference_kmh.unwrap_or(0.0);
    lines.sort_by(|a, b| {
        speed(b)
            .total_cmp(&speed(a))
            .then_with(|| a.name.cmp(&b.name))
    });
    let example = own.iter().flatten().find_map(|w| w.as_ref().ok());
    let notes = notes(
        origin,
        people,
        wish,
        kind,
        intensity,
        example,
        grouping.as_ref(),
    );
    Ok(TrainingCard {
        title: title(wish, &lines),
        origin: origin.words.clone(),
        test: basis.test.clone(),
        format: wish.format.written.clone(),
        work_s: wish.format.periods.work_s,
        rest_s: wish.format.periods.rest_s,
        intensity: how_hard(wish, kind, intensity),
        course: whereabouts(wish.course, example),
        volume: wish
            .format
            .row
            .as_ref()
            .map_or_else(String::new, |r| r.volume.clone()),
        width_kmh: grouping.as_ref().map(|g| g.width_kmh),
        width_basis: grouping
            .as_ref()
            .map_or_else(String::new, |g| g.width_basis.clone()),
        groups,
        people: lines,
        notes,
        cautions: Cautions::default(),
    })
}

/// Returns the groups with their run; none of their own when everyone has another speed.
fn runs_of_groups(
    grouping: Option<&Grouping>,
    intensity: Intensity,
    run: &impl Fn(f64, Option<f64>) -> Result<Work, TrainingRefusal>,
) -> Result<Vec<TrainingGroup>, TrainingRefusal> {
    let shared = matches!(intensity, Intensity::Percent(_));
    let blocks = grouping.into_iter().flat_map(|g| &g.groups);
    blocks
        .map(|group| {
            let found = if shared {
                Some(run(group.middle_kmh, None)?)
            } else {
                None
            };
            Ok(TrainingGroup {
                number: group.number,
                low_kmh: group.low_kmh,
                high_kmh: group.high_kmh,
                middle_kmh: group.middle_kmh,
                speed_kmh: found.map(|w| w.speed_kmh),
                distance_m: found.map(|w| w.distance_m),
                turns: found.map(|w| w.turns),
            })
        })
        .collect()
}

fn runners(people: &[Entrant]) -> Vec<Runner> {
    people
        .iter()
        .map(|p| Runner {
            name: p.name.clone(),
            speed_kmh: p.reference_kmh.unwrap_or(0.0),
            error_kmh: p.error_kmh,
            doubt: if p.reference_kmh.is_none() {
                Some(Doubt::NoSpeed)
            } else {
                p.doubt
            },
        })
        .collect()
}

fn line(
    index: usize,
    person: &Entrant,
    own: Option<&Result<Work, TrainingRefusal>>,
    grouping: Option<&Grouping>,
    groups: &[TrainingGroup],
) -> TrainingPerson {
    let group = match grouping.and_then(|g| g.place(index)) {
        Some(Banded::In(number)) => Some(number),
        _ => None,
    };
    let member = grouping
        .into_iter()
        .flat_map(|g| &g.groups)
        .flat_map(|g| &g.members)
        .find(|m| m.index == index);
    let run = own.and_then(|w| w.as_ref().ok());
    let shared = group.and_then(|n| groups.iter().find(|g| g.number == n));
    let doubt = if person.reference_kmh.is_none() {
        Some(Doubt::NoSpeed)
    } else {
        person.doubt
    };
    TrainingPerson {
        name: person.name.clone(),
        reference_kmh: person.reference_kmh,
        error_kmh: person.error_kmh,
        group,
        moved_from: member.and_then(|m| m.moved_from),
        chance_other: member.and_then(|m| m.chance_other),
        speed_kmh: run.map(|w| w.speed_kmh),
        distance_m: run.map(|w| w.distance_m),
        turns: run.map(|w| w.turns),
        group_percent: shared
            .and_then(|g| g.speed_kmh)
            .zip(person.reference_kmh)
            .map(|(speed, reference)| speed / reference * 100.0),
        marks: doubt.map(|d| d.words().to_owned()).into_iter().collect(),
        refused: match own {
            Some(Err(why)) => why.to_string(),
            _ => String::new(),
        },
    }
}

fn title(wish: &Wish, people: &[TrainingPerson]) -> String {
    match (&wish.groups, people) {
        (None, [one]) => format!("{}: intervals {}", one.name, wish.format.written),
        _ => format!("Groups for intervals {}", wish.format.written),
    }
}

fn how_hard(wish: &Wish, kind: BasisKind, intensity: Intensity) -> String {
    let of = match kind {
        BasisKind::Final => "the final speed",
        BasisKind::Mas if wish.rules.factor.is_some() => "the speed after the factor",
        BasisKind::Mas => "maximal aerobic speed",
        BasisKind::Shuttle => "the shuttle speed",
        BasisKind::Rests => "the speed",
    };
    match (intensity, wish.intensity, range_of(&wish.format, kind)) {
        (Intensity::Reserve(share), ..) => format!(
            "maximal aerobic speed and {} % of the reserve up to sprint speed",
            trimmed(share * 100.0)
        ),
        (Intensity::Percent(p), None, Some((low, high))) if low < high => format!(
            "{} % of {of}, the middle of {} to {} %",
            trimmed(p),
            trimmed(low),
            trimmed(high)
        ),
        (Intensity::Percent(p), ..) => format!("{} % of {of}", trimmed(p)),
    }
}

fn whereabouts(course: Course, example: Option<&Work>) -> String {
    let place = match course {
        Course::Straight => "in a straight line".to_owned(),
        Course::Lane(lane) => format!("to and fro over {} m lanes", trimmed(lane)),
    };
    let turns = match example.map(|w| w.correction) {
        Some(Correction::PerTurn { seconds }) => {
            format!(", {} s for each turn", trimmed(seconds))
        }
        Some(Correction::AlreadyIn) => ", the speed already holds the turns".to_owned(),
        Some(Correction::StraightFactor { factor }) => {
            format!(", {factor} times as far as over 40 m lanes")
        }
        _ => String::new(),
    };
    format!("{place}{turns}")
}

/// Returns a number with at most two decimals and no trailing zeros.
pub(super) fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
