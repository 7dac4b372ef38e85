//! A second test that shows the same level: the conversion from people who ran both, and its results beside the first's.
//! Must not use a published conversion for one person: it is worked out of this group or refused. Formula: docs/methods/level.md.

use std::collections::BTreeMap;

use jiff::civil::Date;
use plimsoll_interpret::Unit;
use plimsoll_interpret::data::TestScale;
use plimsoll_ladder::Test;
use plimsoll_measure::level::{Conversion, Observation, Outcome, Series};

use super::{Member, NoLevel, Read, SquadLevels, reading};

/// Two results of a person further apart than this are no pair, weeks. Chosen, no source.
const APART: f64 = 8.0;
/// Fewer people make no line. Chosen, no source.
const FEWEST: usize = 8;

/// A result of a second test.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct LinkedResult {
    /// The day.
    pub date: Date,
    /// Id of the test.
    pub test: String,
    /// The result, in the unit of that test.
    pub value: f64,
    /// That unit.
    #[serde(serialize_with = "unit_word")]
    pub unit: Unit,
    /// Whether it is known only as a bound.
    pub bound: bool,
}

fn unit_word<S: serde::Serializer>(unit: &Unit, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(unit.as_str())
}

impl SquadLevels {
    /// Returns the same levels with the results of a second test heard too.
    ///
    /// # Errors
    ///
    /// [`NoLevel`] in words when too few people ran both, or the tests do not rise together.
    pub fn with(
        self,
        test: &Test,
        scale: Option<&TestScale>,
        members: &[Member],
    ) -> Result<Self, NoLevel> {
        let unit = scale.map_or(Unit::Metres, |s| s.unit);
        let second = reads(test, scale, members, self.origin)?;
        let errors: Vec<f64> = members.iter().filter_map(reading::ln_error).collect();
        let error = mean(&errors).ok_or_else(|| {
            NoLevel(format!(
                "no study gives a typical error of `{}` for these people",
                test.id()
            ))
        })?;
        let own: Vec<f64> = self
            .ensemble
            .most_probable()
            .tests()
            .iter()
            .map(|t| t.error)
            .collect();
        let own = mean(&own).unwrap_or(error);
        let pairs = self.pairs(&second);
        if pairs.len() < FEWEST {
            return Err(NoLevel(format!(
                "`{}` cannot be heard beside it: {} people ran both within {APART:.0} weeks, {FEWEST} are needed",
                test.id(),
                pairs.len()
            )));
        }
        let line = Conversion::fit(&pairs, own, error)
            .map_err(|e| NoLevel(format!("`{}` cannot be heard beside it: {e}", test.id())))?;
        self.joined(test.id(), unit, second, &line)
    }

    /// The closest pair of results of each person, first test and second.
    fn pairs(&self, second: &BTreeMap<String, Read>) -> Vec<(f64, f64)> {
        let mut pairs = Vec::new();
        for (id, there) in second {
            let Some(here) = self.series.get(id) else {
                continue;
            };
            let both = there.series.observations().iter().flat_map(|y| {
                let firsts = here.series.observations().iter();
                firsts.filter_map(move |x| {
                    let apart = (x.week - y.week).abs();
                    Some((apart, middle(x)?, middle(y)?))
                })
            });
            let closest = both
                .filter(|(apart, _, _)| *apart <= APART)
                .min_by(|a, b| a.0.total_cmp(&b.0));
            pairs.extend(closest.map(|(_, x, y)| (x, y)));
        }
        pairs
    }

    fn joined(
        mut self,
        id: &str,
        unit: Unit,
        second: BTreeMap<String, Read>,
        line: &Conversion,
    ) -> Result<Self, NoLevel> {
        let fault = |e: plimsoll_measure::MeasureError| NoLevel(e.to_string());
        let place = self.ensemble.most_probable().tests().len();
        self.ensemble = self.ensemble.with_test(line.test()).map_err(fault)?;
        for (person, there) in second {
            let Some(read) = self.series.get_mut(&person) else {
                continue;
            };
            let mut all = read.series.observations().to_vec();
            let more = there.series.observations().iter();
            all.extend(more.map(|o| Observation { test: place, ..*o }));
            read.series = Series::new(all).map_err(fault)?;
            let results = there.seen.iter();
            read.linked
                .extend(results.map(|&(date, value, bound)| LinkedResult {
                    date,
                    test: id.to_owned(),
                    value,
                    unit,
                    bound,
                }));
        }
        self.basis.push_str(&format!(
            "; `{id}` is heard too, by a line through {} people who ran both within {APART:.0} weeks (correlation \
             {:.2}): one result of it errs by {:.1} %, with what the two tests ask for differently",
            line.pairs,
            line.correlation,
            100.0 * line.error.hypot(line.between_people) / line.slope.mean,
        ));
        Ok(self)
    }
}

fn reads(
    test: &Test,
    scale: Option<&TestScale>,
    members: &[Member],
    origin: Date,
) -> Result<BTreeMap<String, Read>, NoLevel> {
    let mut found = BTreeMap::new();
    for member in members {
        if let Some(read) = reading::read(test, scale, member, 0, origin)? {
            found.insert(member.id.clone(), read);
        }
    }
    Ok(found)
}

/// A result less what its day is known to have added.
fn middle(seen: &Observation) -> Option<f64> {
    let at = match seen.outcome {
        Outcome::Exact(at) => at,
        Outcome::Between { lower, upper } => f64::midpoint(lower, upper),
        Outcome::AtLeast(_) | Outcome::AtMost(_) => return None,
    };
    Some(at - seen.conditions.mean)
}

fn mean(numbers: &[f64]) -> Option<f64> {
    (!numbers.is_empty()).then(|| numbers.iter().sum::<f64>() / numbers.len() as f64)
}
