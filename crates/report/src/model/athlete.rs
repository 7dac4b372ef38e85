//! One athlete's line: today's result, change, history, estimates and references.
//! Must not hold another person's data: a card is printed from one line alone.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Tag, number_or_nan};

/// What a number says when the run behind it was cut short.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bound {
    /// The number itself.
    #[default]
    Exact,
    /// Known only as this much or more.
    AtLeast,
    /// Known only as this much or less.
    AtMost,
}

/// The difference to an earlier result of the same athlete.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ChangeLine {
    /// What it is compared with, e.g. "last test, 12 Sep 2026".
    pub against_label: String,
    /// Today minus earlier, in `unit`.
    #[serde(deserialize_with = "number_or_nan")]
    pub difference: f64,
    /// Unit of the three numbers, e.g. "m" or "bouts".
    pub unit: String,
    /// Lower end of the 90 % interval, in `unit`; nothing when it cannot be computed.
    pub low90: Option<f64>,
    /// Upper end of the 90 % interval, in `unit`; nothing when it cannot be computed.
    pub high90: Option<f64>,
    /// Whether the difference is a number or only a bound.
    pub bound: Bound,
    /// Probability (0 to 1) that the true change is upward and worth having.
    pub p_up: Option<f64>,
    /// Probability (0 to 1) that the true change is smaller than matters.
    pub p_trivial: Option<f64>,
    /// Probability (0 to 1) that the true change is downward and matters.
    pub p_down: Option<f64>,
    /// The verdict in words, e.g. "likely better (82 %)" or "unclear".
    pub verdict: String,
    /// Whether chance alone is ruled out.
    pub decided: bool,
    /// A sentence that says how large a change must be to be seen.
    pub detectable: String,
}

/// The true level as all results of the athlete and the squad have it, and its change since the last test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LevelLine {
    /// The level today, in `unit`.
    pub level: f64,
    /// Lower end of its 90 % interval, in `unit`.
    pub lower: f64,
    /// Upper end of its 90 % interval, in `unit`.
    pub upper: f64,
    /// Unit of the levels.
    pub unit: String,
    /// Date of the test before.
    pub since: Date,
    /// Lower end of the 90 % interval of the change, in `unit`.
    pub low90: f64,
    /// Upper end of the 90 % interval of the change, in `unit`.
    pub high90: f64,
    /// Probability (0 to 1) that the level rose worth while.
    pub p_up: f64,
    /// Probability (0 to 1) that it changed by less than matters.
    pub p_trivial: f64,
    /// Probability (0 to 1) that it fell worth while.
    pub p_down: f64,
    /// The verdict in words, e.g. "likely higher (82 %)".
    pub verdict: String,
}

/// One earlier or present result of the athlete.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HistoryPoint {
    /// Day of the test.
    pub date: Date,
    /// Result, in the report's quantity.
    #[serde(deserialize_with = "number_or_nan")]
    pub value: f64,
    /// Lower end of its error bar; nothing when unknown.
    #[serde(default)]
    pub low: Option<f64>,
    /// Upper end of its error bar; nothing when unknown.
    #[serde(default)]
    pub high: Option<f64>,
    /// Whether the value is known only as "at least".
    #[serde(default)]
    pub lower_bound: bool,
    /// What was different on that day (surface, heat, ladder); empty when nothing was.
    #[serde(default)]
    pub note: String,
}

/// A number derived from the result by a published equation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EstimateLine {
    /// What and how much, e.g. "oxygen uptake 48.1 ml/kg/min".
    pub text: String,
    /// Its interval in words, or "no interval published".
    pub interval: String,
    /// Key or words of the source.
    pub source: String,
    /// How the equation is known.
    pub tag: Tag,
}

/// Where the result lies in a reference population, or that no adequate one exists.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReferenceLine {
    /// The finding in words.
    pub text: String,
    /// Key or words of the source.
    pub source: String,
    /// Persons in the reference; nothing when it does not say.
    #[serde(default)]
    pub n: Option<u32>,
    /// How the reference is known.
    pub tag: Tag,
}

/// One athlete's result and everything said about it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AthleteLine {
    /// Stable id, unique within the report.
    pub id: String,
    /// Name as the person writes it, in any script.
    pub name: String,
    /// Label on the day's ladder, e.g. "14.10"; empty when the test has none. Never a number.
    pub label: String,
    /// Result in the report's quantity; nothing when there is none today.
    pub value: Option<f64>,
    /// Distance covered, m.
    pub distance_m: Option<f64>,
    /// Speed of the last completed bout, km/h.
    pub final_speed_kmh: Option<f64>,
    /// Completed bouts.
    pub bouts: Option<u32>,
    /// Why the run ended, in words.
    pub reason: String,
    /// Whether the result is known only as "at least".
    pub lower_bound: bool,
    /// Whether the ladder ended before the athlete did.
    pub ceiling: bool,
    /// Change since the last comparable test.
    pub change: Option<ChangeLine>,
    /// The level from all results; nothing after a single test, or where no error is known.
    pub level: Option<LevelLine>,
    /// Change against the best earlier result.
    pub best: Option<ChangeLine>,
    /// Marks to read with the result, in words, worst first.
    pub flags: Vec<String>,
    /// Results so far, oldest first, today's included.
    pub history: Vec<HistoryPoint>,
    /// Derived numbers.
    pub estimates: Vec<EstimateLine>,
    /// Comparisons with reference populations.
    pub references: Vec<ReferenceLine>,
    /// What to do next, for the athlete, in plain words.
    pub next_step: String,
    /// Where the numbers come from: ladder, equation, error, source.
    pub how: String,
}
