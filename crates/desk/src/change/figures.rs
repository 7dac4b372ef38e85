//! The pictures of an answer about change; the words in them are those of the answer.

use plimsoll_report::format::{date, decimals, number};
use plimsoll_report::{Figure, TrueChangePlot, TrueChangeRow, figure_true_change};

use super::growth::{Growth, GrowthSince};
use super::person::PersonAnswer;
use super::values::ValuesAnswer;

/// Most earlier tests drawn.
const MOST: usize = 8;

/// The changes beyond growth since the latest earlier test.
fn beyond(growth: Option<&Growth>) -> Vec<TrueChangeRow> {
    let first: Option<&GrowthSince> = growth
        .and_then(|g| g.as_ref().ok())
        .and_then(super::GrowthAnswer::headline);
    let Some(since) = first else {
        return Vec::new();
    };
    let row = |way: &super::BeyondGrowth| TrueChangeRow {
        name: match (way.way, since.since) {
            ("median", None) => "left after growth as the median".to_owned(),
            (_, None) => "left after keeping the own place".to_owned(),
            ("median", Some(on)) => {
                format!("left since {} after growth as the median", date(on))
            }
            (_, Some(on)) => format!("left since {} after keeping the own place", date(on)),
        },
        middle: way.beyond,
        low: way.low90,
        high: way.high90,
    };
    since.ways.iter().map(row).collect()
}

impl ValuesAnswer {
    /// Draws the answer; nothing where no chance can be given.
    pub fn figure(&self) -> Option<Figure> {
        let numbers = self.quick.numbers.as_ref()?;
        let unit = self.unit();
        let places = decimals(unit);
        let value = |v: f64| number(v, places);
        let mut rows = vec![TrueChangeRow {
            name: format!("{} to {} {unit}", value(self.ask.from), value(self.ask.to)),
            middle: numbers.difference,
            low: numbers.interval_90.0,
            high: numbers.interval_90.1,
        }];
        rows.extend(beyond(self.growth.as_ref()));
        figure_true_change(&TrueChangePlot {
            about: format!(
                "True change in {}, seen {} and then {} {unit}: {}",
                self.ask.test,
                value(self.ask.from),
                value(self.ask.to),
                self.quick.verdict
            ),
            unit: unit.to_owned(),
            decimals: places,
            curve_name: "from the two tests".to_owned(),
            curve: self.curve.clone(),
            zone: self.zone,
            detectable: Some((-numbers.detectable.down, numbers.detectable.up)),
            chances: Some((
                numbers.chances.down,
                numbers.chances.trivial,
                numbers.chances.up,
            )),
            rows,
        })
    }
}

impl PersonAnswer {
    /// Draws the answer: the level's change where there is one, else the two tests alone.
    pub fn figure(&self) -> Option<Figure> {
        let numbers = self
            .report
            .previous
            .as_ref()
            .and_then(|p| p.numbers.as_ref());
        let detectable = numbers.map(|n| (-n.detectable.down, n.detectable.up));
        let mut rows = Vec::new();
        let level = self.level.as_ref().ok().filter(|l| !l.changes.is_empty());
        if let Some(level) = level {
            rows.extend(
                level
                    .changes
                    .iter()
                    .rev()
                    .take(MOST)
                    .map(|c| TrueChangeRow {
                        name: format!("level since {}", date(c.since)),
                        middle: c.difference,
                        low: c.low90,
                        high: c.high90,
                    }),
            );
        }
        if let Some(n) = numbers {
            rows.push(TrueChangeRow {
                name: "the two last tests alone".to_owned(),
                middle: n.difference,
                low: n.interval_90.0,
                high: n.interval_90.1,
            });
        }
        rows.extend(beyond(self.growth.as_ref()));
        let last = level.and_then(|l| l.changes.last());
        let about = format!("Change of {} in {}", self.name, self.test);
        let plot = match (level, last) {
            (Some(level), Some(change)) => TrueChangePlot {
                about: format!(
                    "{about}, level since {}: {}",
                    date(change.since),
                    change.verdict
                ),
                unit: self.unit.clone(),
                decimals: decimals(&self.unit),
                curve_name: format!("level since {}", date(change.since)),
                curve: level.curve.clone(),
                zone: Some(level.zone),
                detectable,
                chances: Some((change.p_down, change.p_trivial, change.p_up)),
                rows,
            },
            _ => TrueChangePlot {
                about: format!(
                    "{about}, the two last tests alone: {}",
                    self.report
                        .previous
                        .as_ref()
                        .map_or("nothing to compare", |p| p.words.as_str())
                ),
                unit: self.unit.clone(),
                decimals: decimals(&self.unit),
                curve_name: "from the two tests".to_owned(),
                curve: self
                    .pair
                    .as_ref()
                    .map(|p| p.curve.clone())
                    .unwrap_or_default(),
                zone: self.pair.as_ref().map(|p| p.zone),
                detectable,
                chances: numbers.map(|n| (n.chances.down, n.chances.trivial, n.chances.up)),
                rows,
            },
        };
        figure_true_change(&plot)
    }
}
