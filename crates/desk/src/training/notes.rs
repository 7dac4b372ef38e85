//! What a card of training rests on, remark by remark, each with its tag.
//! Must not leave out a rule that was applied, nor what is only known from memory.

use plimsoll_interpret::Confidence;
use plimsoll_interpret::data::{BasisKind, TrainingBasis};
use plimsoll_interpret::training::{Correction, Doubt, Grouping, HAYDAR_STRAIGHT, Intensity, Work};
use plimsoll_report::{
    Tag, TrainingNote,
    format::{number, percent},
};

use super::Entrant;
use super::card::{Origin, Wish, trimmed};

/// Returns what the card rests on, each with its tag.
pub(super) fn notes(
    origin: &Origin,
    people: &[Entrant],
    wish: &Wish,
    kind: BasisKind,
    intensity: Intensity,
    example: Option<&Work>,
    grouping: Option<&Grouping>,
) -> Vec<TrainingNote> {
    let mut out = Vec::new();
    let mut note = |text: String, tag: Tag| out.push(TrainingNote { text, tag });
    let basis = &origin.basis;
    note(
        format!("the reference speed is the {}", basis.note),
        tag(basis.confidence),
    );
    if let Some(factor) = wish.rules.factor {
        note(
            format!("factor {factor} to maximal aerobic speed set by hand"),
            Tag::Measured,
        );
    }
    if let Some(row) = wish
        .format
        .row
        .as_ref()
        .filter(|_| wish.intensity.is_none())
    {
        let text = format!("intensity and volume of {}: {}", row.format, row.source);
        note(text, tag(row.confidence));
    }
    turn_note(basis, wish, example, &mut note);
    above_note(wish, kind, intensity, &mut note);
    error_note(people, &mut note);
    if let Some(grouping) = grouping {
        note(
            "chance of another group: the true speed taken as normal about the measured one with \
             its typical error; the outermost bands have no end outwards"
                .to_owned(),
            Tag::Derived,
        );
        first_trials(grouping, people, wish, &mut note);
    }
    note(
        "intervals near the maximum are not for everyone who trains: the cautions of a maximal test \
         hold, and anyone may run the next slower group or at a lower percentage"
            .to_owned(),
        Tag::CommonPractice,
    );
    out
}

fn turn_note(
    basis: &TrainingBasis,
    wish: &Wish,
    example: Option<&Work>,
    note: &mut impl FnMut(String, Tag),
) {
    match example.map(|w| w.correction) {
        Some(Correction::PerTurn { seconds }) => {
            let (what, tag) = match wish.rules.turn_s {
                Some(_) => ("set by hand", Tag::Measured),
                None => (
                    "the convention; measure your own and set it",
                    Tag::FromMemory,
                ),
            };
            note(
                format!("{} s lost in each turn: {what}", trimmed(seconds)),
                tag,
            );
        }
        Some(Correction::StraightFactor { factor }) if factor == HAYDAR_STRAIGHT => note(
            "straight runs 1.031 times the final speed over 40 m lanes: Haydar 2011, a group mean"
                .to_owned(),
            Tag::SourceRead,
        ),
        Some(Correction::StraightFactor { .. }) => {
            note("straight-line factor set by hand".to_owned(), Tag::Measured);
        }
        Some(Correction::Uncorrected) if basis.lane_m == Some(40.0) => note(
            format!(
                "in a straight line the same effort goes 3.1 % further on average (Haydar 2011); \
                 {HAYDAR_STRAIGHT} as straight-line factor sets that"
            ),
            Tag::SourceRead,
        ),
        Some(Correction::Uncorrected) => note(
            "the final speed holds turns, so a straight run at it is somewhat easy".to_owned(),
            Tag::Derived,
        ),
        _ => {}
    }
}

fn above_note(
    wish: &Wish,
    kind: BasisKind,
    intensity: Intensity,
    note: &mut impl FnMut(String, Tag),
) {
    let above = matches!(intensity, Intensity::Percent(p) if p > 100.0);
    if above && kind == BasisKind::Mas {
        note(
            "above maximal aerobic speed two people with the same speed last differently long; with \
             sprint speeds, a share of the reserve fits each better"
                .to_owned(),
            Tag::SecondaryRead,
        );
    }
    if kind == BasisKind::Mas
        && wish.format.written == "30:30"
        && intensity == Intensity::Percent(100.0)
    {
        note(
            "at 100 % of maximal aerobic speed 30:30 is weak: 149 s above 90 % of maximal oxygen \
             uptake against 531 s in 60:30 of the same total work (Millet 2003)"
                .to_owned(),
            Tag::SourceRead,
        );
    }
}

fn error_note(people: &[Entrant], note: &mut impl FnMut(String, Tag)) {
    let known: Vec<f64> = people.iter().filter_map(|p| p.error_kmh).collect();
    let first = people.iter().find(|p| !p.error_basis.is_empty());
    let range = known
        .iter()
        .fold((f64::INFINITY, 0.0_f64), |(a, b), e| (a.min(*e), b.max(*e)));
    match (known.is_empty(), first) {
        (false, Some(person)) if range.1 - range.0 < 0.005 => {
            note(person.error_basis.clone(), Tag::Derived);
        }
        (false, Some(person)) => note(
            format!(
                "typical errors from {} to {} km/h, one for each person; that of {}: {}",
                number(range.0, 2),
                number(range.1, 2),
                person.name,
                person.error_basis
            ),
            Tag::Derived,
        ),
        (false, None) => note(
            format!("typical error {} km/h set by hand", number(range.1, 2)),
            Tag::Measured,
        ),
        (true, Some(person)) => note(person.error_basis.clone(), Tag::Derived),
        (true, None) => note(
            "no typical error of these speeds is known; set one to see how often people belong in \
             another group"
                .to_owned(),
            Tag::Derived,
        ),
    }
}

fn first_trials(
    grouping: &Grouping,
    people: &[Entrant],
    wish: &Wish,
    note: &mut impl FnMut(String, Tag),
) {
    let apart = grouping.apart.len();
    if apart > 0 {
        note(
            format!(
                "{apart} not grouped: a first trial holds learning, and \"at least\" is no score; \
                 test again, or group them with their mark"
            ),
            Tag::CommonPractice,
        );
    }
    let with = |p: &&Entrant| matches!(p.doubt, Some(Doubt::FirstTrial | Doubt::AtLeast));
    let marked = people.iter().filter(with).count();
    if wish.groups.as_ref().is_some_and(|g| g.with_doubt) && marked > 0 {
        note(
            format!(
                "{marked} are grouped on a first trial or an \"at least\" and marked: expect them \
                 to be too low"
            ),
            Tag::CommonPractice,
        );
    }
    let chances: Vec<f64> = grouping
        .groups
        .iter()
        .flat_map(|g| &g.members)
        .filter(|m| m.moved_from.is_none())
        .filter_map(|m| m.chance_other)
        .collect();
    if !chances.is_empty() {
        let mean = chances.iter().sum::<f64>() / chances.len() as f64;
        note(
            format!(
                "by chance alone {} of those grouped by speed belong elsewhere on average",
                percent(mean)
            ),
            Tag::Derived,
        );
    }
}

fn tag(confidence: Confidence) -> Tag {
    crate::day_report::fact_tag(confidence)
}
