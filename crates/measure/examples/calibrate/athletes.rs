//! Athletes with known true levels, drawn from the model: whole bouts, some stopped early, learning, two tests.
//! Invented; natural logs of metres.

use plimsoll_measure::Interval;
use plimsoll_measure::change::Chance;
use plimsoll_measure::level::{
    Averaged, Learning, Model, Normal, Observation, Outcome, Posterior, Series, Start, Test,
};

use crate::Fault;
use crate::numbers::Numbers;
use crate::tally::{LEVELS, Tally};

/// Dates of the results, in weeks.
pub const WEEKS: [f64; 6] = [0.0, 4.0, 9.0, 16.0, 22.0, 30.0];
/// Athletes of a squad.
pub const SQUAD: usize = 24;
/// Smallest worthwhile change, on logs.
const WORTHWHILE: f64 = 0.03;
/// Share of results cut short by something that has nothing to do with the level.
const CUT_SHORT: f64 = 0.12;
/// Metres of a bout of either test.
const BOUT: [f64; 2] = [40.0, 20.0];

/// What is true of a squad.
#[derive(Clone, Copy)]
pub struct Truth {
    pub group: Normal,
    pub drift: f64,
    pub error: [f64; 2],
    /// What a first and a second trial add; the SD is between athletes.
    pub learning: [Normal; 2],
}

/// An athlete: true levels by date, and the results seen.
pub struct Athlete {
    pub levels: Vec<f64>,
    pub series: Series,
}

/// The second test against the first.
fn second_test(error: f64) -> Test {
    Test {
        offset: Normal::exactly(7.45),
        slope: Normal::exactly(1.1),
        pivot: 7.2,
        error,
    }
}

impl Truth {
    /// Returns the model of this truth.
    pub fn model(&self) -> Result<Model, Fault> {
        let tests = vec![Test::anchor(self.error[0]), second_test(self.error[1])];
        let [first, second] = self.learning;
        let learning = Learning { first, second };
        Ok(Model::new(
            Start::From(self.group),
            self.drift,
            tests,
            learning,
        )?)
    }

    /// Draws an athlete: five results on the first test, one on the second.
    pub fn athlete(&self, numbers: &mut Numbers) -> Result<Athlete, Fault> {
        let mut level = self.group.mean + self.group.sd * numbers.normal();
        let mut trials = [if numbers.even() < 0.5 { 1 } else { 3 }, 1];
        let (mut levels, mut seen) = (Vec::new(), Vec::new());
        for (k, &week) in WEEKS.iter().enumerate() {
            if k > 0 {
                level += (self.drift * (week - WEEKS[k - 1])).sqrt() * numbers.normal();
            }
            levels.push(level);
            let test = usize::from(k == 3);
            let shown = if test == 0 {
                level
            } else {
                7.45 + 1.1 * (level - 7.2)
            };
            let learned = self
                .learning
                .get(trials[test] as usize - 1)
                .map_or(0.0, |l| l.mean + l.sd * numbers.normal());
            let outcome = whole(
                shown + learned + self.error[test] * numbers.normal(),
                BOUT[test],
                (numbers.even() < CUT_SHORT).then(|| 7.1 + 0.3 * numbers.normal()),
            );
            seen.push(Observation {
                trial: Some(trials[test]),
                ..Observation::plain(week, test, outcome)
            });
            trials[test] += 1;
        }
        let series = Series::new(seen)?;
        Ok(Athlete { levels, series })
    }
}

/// Whole bouts of an outcome; at least those run where something ended it before.
pub fn whole(outcome: f64, bout: f64, ended: Option<f64>) -> Outcome {
    let bouts = |ln: f64| (ln.exp() / bout).floor();
    let at = |n: f64| (bout * n).ln();
    let n = bouts(outcome);
    match ended.map(bouts) {
        Some(end) if end <= n && end >= 1.0 => Outcome::AtLeast(at(end)),
        _ if n < 1.0 => Outcome::AtMost(at(1.0)),
        _ => Outcome::Between {
            lower: at(n),
            upper: at(n + 1.0),
        },
    }
}

/// What is asked of a posterior, with parameters taken as known or averaged over.
pub trait Answers {
    /// Interval of the level on a date.
    fn level(&self, week: f64, confidence: f64) -> Result<Interval, Fault>;
    /// Intervals of a true change at each of the levels, and its chances.
    fn change_between(&self, from: f64, to: f64) -> Result<(Vec<Interval>, Chance), Fault>;
}

macro_rules! answers {
    ($($posterior:ty),*) => { $(
        impl Answers for $posterior {
            fn level(&self, week: f64, confidence: f64) -> Result<Interval, Fault> {
                Ok(self.level_at(week, confidence)?.interval)
            }

            fn change_between(&self, from: f64, to: f64) -> Result<(Vec<Interval>, Chance), Fault> {
                let change = self.change(from, to)?;
                let each = LEVELS.into_iter().map(|level| change.interval(level));
                Ok((each.collect::<Result<_, _>>()?, change.chance(WORTHWHILE)?))
            }
        }
    )* };
}

answers!(Posterior<'_>, Averaged<'_>);

/// Counts what a posterior says of an athlete: levels of all dates, the last one, changes.
pub fn judge(tally: &mut Tally, found: &impl Answers, levels: &[f64]) -> Result<(), Fault> {
    for (place, confidence) in LEVELS.into_iter().enumerate() {
        for (k, truth) in levels.iter().enumerate() {
            let held = found.level(WEEKS[k], confidence)?.contains(*truth);
            if k + 1 == levels.len() {
                tally.held("the level now", place, held);
            }
            tally.held("the level on every date", place, held);
        }
    }
    for (from, to) in [(0, 5), (2, 4)] {
        let (intervals, chance) = found.change_between(WEEKS[from], WEEKS[to])?;
        let truth = levels[to] - levels[from];
        for (place, interval) in intervals.iter().enumerate() {
            tally.held(
                "a true change between two dates",
                place,
                interval.contains(truth),
            );
        }
        tally.chance(
            "P(rose by more than is worthwhile)",
            chance.up,
            truth > WORTHWHILE,
        );
    }
    Ok(())
}
