//! What is left of a young person's change after expected growth, by a reference by age.
//! Credits nothing to training: what is left may be a growth spurt or chance. Formula: docs/methods/growth-references.md.

use jiff::civil::Date;
use plimsoll_interpret::change::{Observation, Verdict};
use plimsoll_interpret::reference::{AgeReference, ReferenceQuery, references_by_age};
use plimsoll_interpret::reliability::{ErrorChoice, higher_is_better};
use plimsoll_interpret::{Catalogue as Facts, Sex, Size};
use plimsoll_measure::MeasureError;
use plimsoll_measure::change::Chance;
use plimsoll_measure::growth::{Errors, Expected, Seen, beyond_growth};
use plimsoll_measure::norms::{Interpolation, Lms};
use serde::Serialize;

/// From this age on nothing is taken off for growth. Chosen, no source: running tests flatten by then.
pub const GROWN: f64 = 20.0;
/// SD of the change of z between untrained children in one year; it grows with the root of time. Chosen, no source.
pub const DRIFT_OF_Z: f64 = 0.3;
/// Confidence of the intervals.
const CONFIDENCE: f64 = 0.90;

/// A change with one way of expecting growth taken off.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BeyondGrowth {
    /// `median`: the change of the reference median; `own_z`: staying at one's own z.
    pub way: &'static str,
    /// Change that growth alone is expected to give, in the unit of the test.
    pub expected: f64,
    /// Change seen less the expected one.
    pub beyond: f64,
    /// Lower end of its 90 % interval.
    pub low90: f64,
    /// Upper end.
    pub high90: f64,
    /// Chance that what is left is a rise worth while.
    pub p_up: f64,
    /// Chance that it is less than matters.
    pub p_trivial: f64,
    /// Chance that it is a fall worth while.
    pub p_down: f64,
    /// In words.
    pub verdict: String,
}

/// Growth between one earlier test and the last.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrowthSince {
    /// Date of the earlier test, where there is one.
    pub since: Option<Date>,
    /// Age at the earlier test, years.
    pub age_from: f64,
    /// Age at the last test, years.
    pub age_to: f64,
    /// Change seen, in the unit of the test.
    pub seen: f64,
    /// z at the earlier test.
    pub z_from: f64,
    /// z at the last test.
    pub z_to: f64,
    /// SD of the change of z between children over this time: chosen, no source.
    pub drift_of_z: f64,
    /// By the median, then by the own z.
    pub ways: [BeyondGrowth; 2],
}

/// The answer, with the reference it stands on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GrowthAnswer {
    /// Title of the reference and its group.
    pub reference: String,
    /// Citation.
    pub source: String,
    /// Tag of the reference.
    pub confidence: String,
    /// People behind it, if known.
    pub n: Option<u32>,
    /// How L, M and S were had.
    pub how: String,
    /// Unit of changes.
    pub unit: String,
    /// Since the latest earlier test first.
    pub since: Vec<GrowthSince>,
}

/// An answer, or why there is none, in words.
pub type Growth = Result<GrowthAnswer, String>;

/// One value at an age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtAge {
    /// The date, where there is one.
    pub date: Option<Date>,
    /// Age, years.
    pub age: f64,
    /// The value, in the unit of the test.
    pub value: f64,
}

/// What is asked about growth.
pub struct GrowthAsk<'a> {
    /// The facts of the trade.
    pub facts: &'a Facts,
    /// Id of the test.
    pub test: &'a str,
    /// Sex of the person.
    pub sex: Option<Sex>,
    /// Sport or standard, for the choice among references.
    pub standard: Option<String>,
    /// Whether rows from memory may be used.
    pub from_memory: bool,
    /// The typical error.
    pub error: &'a ErrorChoice,
    /// The smallest worthwhile change.
    pub worthwhile: Size,
}

/// From this many years on growth has something to say: eight weeks. Chosen, no source.
const LONG_ENOUGH: f64 = 8.0 * 7.0 / 365.25;

impl GrowthAnswer {
    /// Returns the comparison to speak of: the latest earlier test eight weeks back or more, else the earliest.
    pub fn headline(&self) -> Option<&GrowthSince> {
        self.since
            .iter()
            .find(|s| s.age_to - s.age_from >= LONG_ENOUGH)
            .or(self.since.last())
    }
}

/// Takes expected growth off the changes from earlier values to the last one.
pub fn growth(ask: &GrowthAsk<'_>, earlier: &[AtAge], last: AtAge) -> Growth {
    let Some(sex) = ask.sex else {
        return Err("expected growth is not taken off: the sex is not known".to_owned());
    };
    let scale = ask.facts.scale(ask.test);
    let metric = scale.map_or("distance_m", |s| s.unit.quantity());
    let all = references_by_age(
        ask.facts,
        &ReferenceQuery {
            test: ask.test.to_owned(),
            metric: metric.to_owned(),
            sex: Some(sex),
            age_years: Some(last.age),
            standard: ask.standard.clone(),
            from_memory: ask.from_memory,
            ..ReferenceQuery::default()
        },
    )
    .map_err(|e| format!("expected growth is not taken off: {e}"))?;
    let up = higher_is_better(scale);
    let mut why = Vec::new();
    for reference in &all.found {
        let mut since = Vec::new();
        for before in earlier {
            match one(ask, reference, before, &last, up) {
                Ok(found) => since.push(found),
                Err(fault) => why.push(format!("{}: {fault}", reference.title)),
            }
        }
        if !since.is_empty() {
            return Ok(GrowthAnswer {
                reference: format!("{} ({})", reference.title, reference.group),
                source: reference.source.clone(),
                confidence: reference.confidence.to_string(),
                n: reference.n,
                how: reference.how.clone(),
                unit: reference.unit.clone(),
                since,
            });
        }
    }
    why.extend(all.unfit);
    why.dedup();
    why.truncate(2);
    let why = match why.as_slice() {
        [] => "no reference by age is at hand for this test and sex; one of your own can be fitted or \
               typed in"
            .to_owned(),
        some => format!("no reference by age fits ({})", some.join("; ")),
    };
    Err(format!(
        "expected growth between the two ages is not taken off: {why}"
    ))
}

fn in_unit(size: Size, value: f64) -> f64 {
    match size {
        Size::InUnit(amount) => amount,
        Size::Percent(percent) => percent / 100.0 * value,
    }
}

fn one(
    ask: &GrowthAsk<'_>,
    reference: &AgeReference,
    from: &AtAge,
    to: &AtAge,
    up: bool,
) -> Result<GrowthSince, MeasureError> {
    let seen = |at: &AtAge| -> Result<Seen, MeasureError> {
        let lms: Lms = reference.curve.at(at.age, Interpolation::Linear)?;
        Ok(Seen {
            age: at.age,
            value: at.value,
            lms,
        })
    };
    let (before, after) = (seen(from)?, seen(to)?);
    let drift = DRIFT_OF_Z * (to.age - from.age).max(0.0).sqrt();
    let errors = Errors {
        typical: in_unit(ask.error.size, f64::midpoint(from.value, to.value)),
        df: ask.error.df,
        reference: 0.0,
        drift,
    };
    let least = in_unit(ask.worthwhile, from.value);
    let way = |name, expected| {
        let left = beyond_growth(&before, &after, expected, &errors)?;
        let interval = left.interval(CONFIDENCE)?;
        let chance: Chance = left.chance(least)?;
        Ok::<_, MeasureError>(BeyondGrowth {
            way: name,
            expected: left.expected,
            beyond: left.beyond,
            low90: interval.lower,
            high90: interval.upper,
            p_up: chance.up,
            p_trivial: chance.trivial,
            p_down: chance.down,
            verdict: Verdict::of(&chance, up).to_string(),
        })
    };
    Ok(GrowthSince {
        since: from.date,
        age_from: from.age,
        age_to: to.age,
        seen: to.value - from.value,
        z_from: before.lms.standing(before.value)?.z,
        z_to: after.lms.standing(after.value)?.z,
        drift_of_z: drift,
        ways: [
            way("median", Expected::Median)?,
            way("own_z", Expected::ConstantZ)?,
        ],
    })
}

/// Returns whether two results were run by the same rules on the same course, as far as known.
pub(crate) fn alike(a: &Observation, b: &Observation) -> bool {
    fn differ<T: PartialEq>(a: Option<&T>, b: Option<&T>) -> bool {
        matches!((a, b), (Some(a), Some(b)) if a != b)
    }
    a.unit == b.unit
        && !differ(a.rules.as_ref(), b.rules.as_ref())
        && !differ(a.course_length_mm.as_ref(), b.course_length_mm.as_ref())
}
