//! A person's true level from all results of one test: the archive's results as series, the model of a squad.
//! Must hide nothing: which parameters came from the squad, which from priors. Formula: docs/methods/level.md.

mod conditions;
mod days;
mod expected;
mod link;
mod members;
mod person;
mod reading;
mod scores;
mod since;
mod wave;

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;
use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::{Size, Unit};
use plimsoll_ladder::Test;
use plimsoll_measure::level::{
    Ensemble, Learning, Model, Normal, PriorWidth, Series, Start, Test as Shown, fit_squad,
};

use crate::history::Entry;

pub use conditions::{Condition, ConditionKind, DayTerms, Learnt};
pub use days::DayCondition;
pub use link::LinkedResult;
pub use members::members;
pub use person::{LevelChange, LevelPoint, Next, PersonLevel};
pub use reading::{ln_error, outcome};
pub use scores::ScoreChance;
pub use since::SinceEach;
pub use wave::{WaveFinding, wave_finding};

/// Confidence of all intervals here.
const CONFIDENCE: f64 = 0.90;
/// Variance of ln level gained in a week before the squad speaks: 1.5 % squared. Chosen, no source: a level then
/// wanders by 3 % (SD) in a month and 8 % in half a year.
const DRIFT: f64 = 0.015 * 0.015;
/// What a first trial lacks, on ln: 3 % ± 3 %. Derived from Lamb & Rogers 2007 (secondary source read): 1.1 to 1.4
/// ml/kg/min of about 45 from trial 1 to 2 in the 20 m test; taken over to other tests.
const FIRST_TRIAL: Normal = Normal {
    mean: -0.03,
    sd: 0.03,
};
/// SD of ln level between people while the squad is too small to tell. Chosen, no source.
const BETWEEN: f64 = 0.25;
/// People with two results or more from which on the squad's own parameters are worked out.
const FEWEST: usize = 5;
/// The smallest worthwhile change in SDs between people. Hopkins 2009 (secondary source read).
const WORTHWHILE: f64 = 0.2;

/// Why there is no level.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NoLevel(pub String);

/// A person's results with the typical error that holds for them.
#[derive(Debug, Clone)]
pub struct Member {
    /// Id of the person.
    pub id: String,
    /// Results of the test, oldest first.
    pub entries: Vec<Entry>,
    /// The typical error; nothing when no study gives one.
    pub error: Option<Size>,
    /// What the day of each result adds to it, in the order of the results.
    pub days: Vec<DayTerms>,
}

/// The levels of everybody who ran a test.
pub struct SquadLevels {
    ensemble: Ensemble,
    series: BTreeMap<String, Read>,
    origin: Date,
    unit: Unit,
    worthwhile: f64,
    basis: String,
    learnt: Vec<Learnt>,
    steps: scores::Steps,
}

struct Read {
    series: Series,
    test: usize,
    /// Result of each date as the test counts it, for pictures.
    seen: Vec<(Date, f64, bool)>,
    /// What was known of the day of each of these results.
    days: Vec<DayTerms>,
    /// Results of a second test.
    linked: Vec<LinkedResult>,
    trials: u32,
}

impl Read {
    /// Returns what was known of a day on which the person has a result.
    fn days_on(&self, on: Date) -> &DayTerms {
        static NOTHING: DayTerms = DayTerms {
            conditions: Vec::new(),
            course_taped: false,
            track_heard: false,
        };
        let mut days = self.seen.iter().zip(&self.days);
        days.rfind(|((date, _, _), _)| *date == on)
            .map_or(&NOTHING, |(_, day)| day)
    }
}

impl SquadLevels {
    /// Makes the model of a squad from all results of a test.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] in words: no typical error, nothing to compare, or a test in which less is better.
    pub fn of(test: &Test, scale: Option<&TestScale>, members: &[Member]) -> Result<Self, NoLevel> {
        let unit = scale.map_or(Unit::Metres, |s| s.unit);
        if matches!(
            unit,
            Unit::Seconds | Unit::BeatsPerMinute | Unit::MlPerKgMin
        ) {
            return Err(NoLevel(format!(
                "a level is worked out for tests in which more is better; `{}` counts in {}",
                test.id(),
                unit.as_str()
            )));
        }
        let dates = members
            .iter()
            .flat_map(|m| m.entries.iter().map(Entry::date));
        let origin = dates
            .min()
            .ok_or_else(|| NoLevel(format!("nobody has a result of `{}` yet", test.id())))?;
        let mut errors: Vec<f64> = Vec::new();
        let mut series = BTreeMap::new();
        for member in members {
            let Some(sd) = ln_error(member) else {
                continue;
            };
            let at = errors.iter().position(|e| (e - sd).abs() < 1e-9);
            let place = at.unwrap_or_else(|| {
                errors.push(sd);
                errors.len() - 1
            });
            if let Some(read) = reading::read(test, scale, member, place, origin)? {
                series.insert(member.id.clone(), read);
            }
        }
        if series.is_empty() {
            return Err(NoLevel(format!(
                "no result of `{}` has both a value and a typical error for its person; give one with --error",
                test.id()
            )));
        }
        let (prior, between) = prior(&errors, &series)?;
        let learnt = conditions::learn(&prior, &mut series);
        let (ensemble, basis) = fitted(prior, &series);
        let between = match ensemble.most_probable().start() {
            Start::From(group) => group.sd,
            Start::Diffuse => between,
        };
        Ok(Self {
            ensemble,
            series,
            origin,
            unit,
            worthwhile: WORTHWHILE * between,
            basis,
            learnt,
            steps: scores::Steps::of(test, scale),
        })
    }

    /// Returns what the group's results told about days with conditions of their own.
    pub fn learnt(&self) -> impl Iterator<Item = (Date, &Learnt)> {
        self.learnt.iter().filter_map(|found| {
            let hours = (found.week * 7.0 * 24.0).round() as i64;
            let date = self.origin.checked_add(hours.hours()).ok()?;
            Some((date, found))
        })
    }

    /// Returns the unit of levels.
    pub const fn unit(&self) -> Unit {
        self.unit
    }

    /// Returns where the parameters come from, in words.
    pub fn basis(&self) -> &str {
        &self.basis
    }

    /// Returns the smallest worthwhile change as a share: 0.05 is 5 %.
    pub fn worthwhile(&self) -> f64 {
        self.worthwhile.exp_m1()
    }

    fn week(&self, date: Date) -> f64 {
        reading::week(self.origin, date)
    }
}

/// The model before the squad speaks, and the SD between people.
fn prior(errors: &[f64], series: &BTreeMap<String, Read>) -> Result<(Model, f64), NoLevel> {
    let firsts: Vec<f64> = series
        .values()
        .filter_map(|read| {
            read.seen
                .iter()
                .find(|(_, value, bound)| !bound && *value > 0.0)
        })
        .map(|(_, value, _)| value.ln())
        .collect();
    let n = firsts.len() as f64;
    let all = series.values().flat_map(|read| &read.seen);
    let mean = if firsts.is_empty() {
        all.map(|(_, value, _)| value.max(1.0).ln()).sum::<f64>()
            / series
                .values()
                .map(|read| read.seen.len())
                .sum::<usize>()
                .max(1) as f64
    } else {
        firsts.iter().sum::<f64>() / n
    };
    let spread = firsts.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0);
    let error = errors.iter().sum::<f64>() / errors.len().max(1) as f64;
    let between = if firsts.len() >= FEWEST {
        (spread - error * error).max(0.05 * 0.05).sqrt()
    } else {
        BETWEEN
    };
    let start = Start::From(Normal { mean, sd: between });
    let learning = Learning {
        first: FIRST_TRIAL,
        second: Normal::ZERO,
    };
    let tests = errors.iter().map(|&error| Shown::anchor(error)).collect();
    let model = Model::new(start, DRIFT, tests, learning).map_err(|e| NoLevel(e.to_string()))?;
    Ok((model, between))
}

/// The squad's own parameters where there is enough of it; otherwise the priors, and why.
fn fitted(prior: Model, series: &BTreeMap<String, Read>) -> (Ensemble, String) {
    const PRIORS: &str = "drift, learning and spread are chosen values, not this squad's";
    let repeated = series
        .values()
        .filter(|read| read.series.observations().len() > 1)
        .count();
    if repeated < FEWEST {
        let words =
            format!("{repeated} people have two results or more, {FEWEST} are needed: {PRIORS}");
        return (Ensemble::only(prior), words);
    }
    let all: Vec<Series> = series.values().map(|read| read.series.clone()).collect();
    match fit_squad(&prior, &all, &PriorWidth::WEAK, 2) {
        Ok(fit) if fit.record.converged => {
            let drift = fit.model.drift().sqrt() * 100.0;
            let errors = fit.model.tests();
            let error = errors.iter().map(|t| t.error).sum::<f64>() / errors.len() as f64 * 100.0;
            let words = format!(
                "from {repeated} people with two results or more, on weak priors: a level wanders by {drift:.1} % a \
                 week (how fast is itself in doubt, and counted), one result errs by {error:.1} %"
            );
            (fit.ensemble, words)
        }
        Ok(_) => (
            Ensemble::only(prior),
            format!("the search over this squad did not settle: {PRIORS}"),
        ),
        Err(fault) => (
            Ensemble::only(prior),
            format!("this squad's results do not fit one model ({fault}): {PRIORS}"),
        ),
    }
}
