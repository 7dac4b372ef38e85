//! One person's level on every date, how it has changed, and what comes next.

use jiff::civil::Date;
use plimsoll_measure::change::Chance;
use plimsoll_measure::level::{Averaged, Normal, Plan};
use serde::Serialize;

use super::days::{DayCondition, conditions};
use super::{CONFIDENCE, LinkedResult, NoLevel, Read, ScoreChance, SquadLevels};

/// A rise counts as seen from this chance on, and is wanted to be seen with this probability.
const SEEN: f64 = 0.90;
const WANTED: f64 = 0.80;
/// Tests looked ahead.
const MOST_TESTS: usize = 26;

/// The level on a date, in the unit of the test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelPoint {
    /// The date.
    pub date: Date,
    /// The level.
    pub level: f64,
    /// Lower end of its 90 % interval.
    pub lower: f64,
    /// Upper end.
    pub upper: f64,
    /// The result of that date; nothing between tests.
    pub result: Option<f64>,
    /// Whether the result is known only as a bound.
    pub bound: bool,
    /// Chance that the level rose worth while from this date to the last one.
    pub p_up: f64,
    /// Chance that it changed by less than matters.
    pub p_trivial: f64,
    /// Chance that it fell worth while.
    pub p_down: f64,
}

/// The change of the level between two dates.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelChange {
    /// The earlier date.
    pub since: Date,
    /// Expected change, in the unit of the test.
    pub difference: f64,
    /// Lower end of its 90 % interval.
    pub low90: f64,
    /// Upper end.
    pub high90: f64,
    /// Chance of a rise worth while.
    pub p_up: f64,
    /// Chance of less than matters.
    pub p_trivial: f64,
    /// Chance of a fall worth while.
    pub p_down: f64,
    /// In words.
    pub verdict: String,
}

/// What the next test would show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Next {
    /// Expected result on that date, in the unit of the test.
    pub result: f64,
    /// Lower end of the interval that holds it with 90 %.
    pub low90: f64,
    /// Upper end.
    pub high90: f64,
    /// The chance of each score, for paced tests.
    pub scores: Vec<ScoreChance>,
    /// Weekly gain asked about, as a share.
    pub weekly_gain: f64,
    /// Weeks until that gain would be seen with probability 0.80; nothing within 26 tests.
    pub weeks_to_see: Option<f64>,
}

/// One person's level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PersonLevel {
    /// The level on each date with results, and on the date asked about when it is later.
    pub points: Vec<LevelPoint>,
    /// The last change; nothing after a single date.
    pub change: Option<LevelChange>,
    /// What comes next.
    pub next: Next,
    /// What the days of the results did to them, as far as it matters.
    pub conditions: Vec<DayCondition>,
    /// Results of a second test that were heard too.
    pub linked: Vec<LinkedResult>,
}

impl SquadLevels {
    /// Returns the level of a person up to a date.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] when the person has no usable result, or a number cannot be had.
    pub fn person(&self, id: &str, until: Date, weekly_gain: f64) -> Result<PersonLevel, NoLevel> {
        let read = self.read(id)?;
        let fault = |e: plimsoll_measure::MeasureError| NoLevel(e.to_string());
        let whole = self.ensemble.posterior(&read.series).map_err(fault)?;
        let mut dates: Vec<Date> = read.seen.iter().map(|(date, _, _)| *date).collect();
        dates.extend(read.linked.iter().map(|result| result.date));
        dates.sort();
        dates.dedup();
        let last = dates.last().copied().unwrap_or(until);
        if until > last {
            dates.push(until);
        }
        let points = dates
            .iter()
            .map(|&date| self.point(&whole, read, date, last))
            .collect::<Result<_, _>>()?;
        let before = dates.iter().copied().rfind(|date| *date < last);
        let change = before
            .map(|since| self.change_between(&whole, since, last))
            .transpose()?;
        let next = self.next(&whole, read, until.max(last), weekly_gain)?;
        Ok(PersonLevel {
            points,
            change,
            next,
            conditions: conditions(read),
            linked: read.linked.clone(),
        })
    }

    pub(super) fn read(&self, id: &str) -> Result<&Read, NoLevel> {
        self.series.get(id).ok_or_else(|| {
            NoLevel("no result with a value and a typical error that fits this person".to_owned())
        })
    }

    fn chance(&self, whole: &Averaged<'_>, from: Date, to: Date) -> Result<Chance, NoLevel> {
        whole
            .change(self.week(from), self.week(to))
            .and_then(|change| change.chance(self.worthwhile))
            .map_err(|e| NoLevel(e.to_string()))
    }

    pub(super) fn point(
        &self,
        whole: &Averaged<'_>,
        read: &Read,
        date: Date,
        last: Date,
    ) -> Result<LevelPoint, NoLevel> {
        let level = whole
            .level_at(self.week(date), CONFIDENCE)
            .map_err(|e| NoLevel(e.to_string()))?;
        let chance = self.chance(whole, date.min(last), last)?;
        let seen = read.seen.iter().rfind(|(on, _, _)| *on == date);
        Ok(LevelPoint {
            date,
            level: level.mean.exp(),
            lower: level.interval.lower.exp(),
            upper: level.interval.upper.exp(),
            result: seen.map(|(_, value, _)| *value),
            bound: seen.is_some_and(|(_, _, bound)| *bound),
            p_up: chance.up,
            p_trivial: chance.trivial,
            p_down: chance.down,
        })
    }

    /// Returns the change of a person's level between any two dates from the first result on.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] when there is no level on one of them.
    pub fn change(&self, id: &str, since: Date, to: Date) -> Result<LevelChange, NoLevel> {
        let read = self.read(id)?;
        let whole = self
            .ensemble
            .posterior(&read.series)
            .map_err(|e| NoLevel(e.to_string()))?;
        let first = read.series.first_week();
        if self.week(since) < first || to < since {
            return Err(NoLevel(format!(
                "there is no level on {since}; allowed is any date from the first result on, up to {to}"
            )));
        }
        self.change_between(&whole, since, to)
    }

    pub(super) fn change_between(
        &self,
        whole: &Averaged<'_>,
        since: Date,
        to: Date,
    ) -> Result<LevelChange, NoLevel> {
        let fault = |e: plimsoll_measure::MeasureError| NoLevel(e.to_string());
        let change = whole
            .change(self.week(since), self.week(to))
            .map_err(fault)?;
        let interval = change.interval(CONFIDENCE).map_err(fault)?;
        let before = whole
            .level_at(self.week(since), CONFIDENCE)
            .map_err(fault)?;
        let from = before.mean.exp();
        let chance = change.chance(self.worthwhile).map_err(fault)?;
        Ok(LevelChange {
            since,
            difference: from * change.mean.exp_m1(),
            low90: from * interval.lower.exp_m1(),
            high90: from * interval.upper.exp_m1(),
            p_up: chance.up,
            p_trivial: chance.trivial,
            p_down: chance.down,
            verdict: verdict(&chance),
        })
    }

    fn next(
        &self,
        whole: &Averaged<'_>,
        read: &Read,
        on: Date,
        weekly_gain: f64,
    ) -> Result<Next, NoLevel> {
        let fault = |e: plimsoll_measure::MeasureError| NoLevel(e.to_string());
        let trial = Some(read.trials + 1);
        let outlook = whole
            .outlook(self.week(on), read.test, trial, Normal::ZERO)
            .map_err(fault)?;
        let interval = outlook.interval(CONFIDENCE).map_err(fault)?;
        let plan = Plan {
            test: read.test,
            every_weeks: 4.0,
            score_width: 0.0,
            weekly_gain: weekly_gain.ln_1p(),
            worthwhile: self.worthwhile,
            certainty: SEEN,
            probability: WANTED,
            most_tests: MOST_TESTS,
        };
        let seen = whole.detectable(&plan).map_err(fault)?;
        Ok(Next {
            result: outlook.mean.exp(),
            low90: interval.lower.exp(),
            high90: interval.upper.exp(),
            scores: self.steps.chances(&outlook).map_err(fault)?,
            weekly_gain,
            weeks_to_see: seen.weeks,
        })
    }
}

/// Returns the verdict in a few words. 75 and 95 %: common practice, no source.
fn verdict(chance: &Chance) -> String {
    let percent = |p: f64| format!("{:.0} %", (100.0 * p).min(99.0));
    for (p, word) in [(chance.up, "higher"), (chance.down, "lower")] {
        if p >= 0.95 {
            return format!("very likely {word} ({})", percent(p));
        }
        if p >= 0.75 {
            return format!("likely {word} ({})", percent(p));
        }
    }
    if chance.trivial >= 0.75 {
        return format!("no change that matters ({})", percent(chance.trivial));
    }
    "unclear".to_owned()
}
