//! The way back: from a label, a count, a distance, a time or a speed to a place on a ladder.

use std::fmt;

use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::ladder::{Bout, Ladder};
use crate::test::Test;
use crate::units::{Instant, Length, Speed};

/// What is known about the place looked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Query {
    /// A label as written, such as `14.3`.
    Label(String),
    /// A number of completed bouts.
    Bouts(u32),
    /// A distance that was run.
    Distance(Length),
    /// A time since the first start: the last bout finished by then.
    Time(Instant),
    /// A speed: the last bout at that speed.
    Speed(Speed),
}

impl fmt::Display for Query {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Label(label) => write!(f, "label `{}`", label.trim()),
            Self::Bouts(n) => write!(f, "{n} bouts"),
            Self::Distance(d) => write!(f, "{d}"),
            Self::Time(t) => write!(f, "{} s", t.as_secs_f64()),
            Self::Speed(v) => write!(f, "{v}"),
        }
    }
}

/// A place on the ladder of a named test.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Place {
    /// Id of the test.
    pub id: String,
    /// Completed bouts there; 0 before the first finish.
    pub bout: u32,
    /// Label there; none before the first finish.
    pub label: Option<String>,
    /// Distance run.
    pub distance: Length,
    /// Speed of the last completed bout; none before the first finish.
    pub speed: Option<Speed>,
    /// Finish of the last completed bout; the first start when there is none.
    pub finish: Instant,
}

impl Place {
    fn of(id: &str, bout: Option<&Bout>) -> Self {
        Self {
            id: id.to_owned(),
            bout: bout.map_or(0, |b| b.number),
            label: bout.map(|b| b.label.clone()),
            distance: bout.map_or(Length::ZERO, |b| b.distance),
            speed: bout.map(|b| b.speed),
            finish: bout.map_or(Instant::START, |b| b.finish),
        }
    }
}

/// Nothing on the ladder fits what was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LocateError {
    /// The test asked about.
    pub id: String,
    /// What was asked for.
    pub asked: Query,
    /// Why it is not there and what would be.
    pub why: String,
    /// Where it would exist instead, in catalogue order.
    pub exists_on: Vec<Place>,
}

impl fmt::Display for LocateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is not on `{}`: {}", self.asked, self.id, self.why)?;
        if self.exists_on.is_empty() {
            return write!(f, "; no known ladder has it");
        }
        write!(f, "; it exists on ")?;
        for (i, place) in self.exists_on.iter().enumerate() {
            let comma = if i == 0 { "" } else { ", " };
            write!(
                f,
                "{comma}`{}` (bout {}, {})",
                place.id, place.bout, place.distance
            )?;
        }
        Ok(())
    }
}

impl std::error::Error for LocateError {}

impl Test {
    /// Returns the place on this test's ladder that fits the query, or nothing.
    pub fn place(&self, query: &Query) -> Option<Place> {
        let ladder = self.ladder()?;
        let found = |bout: Option<&Bout>| bout.map(|b| Place::of(self.id(), Some(b)));
        match query {
            Query::Label(label) => found(ladder.by_label(label)),
            Query::Bouts(0) | Query::Distance(Length::ZERO) => Some(Place::of(self.id(), None)),
            Query::Bouts(n) => found(ladder.by_number(*n)),
            Query::Distance(d) => found(ladder.by_distance(*d)),
            Query::Time(t) if t.as_nanos() < 0 => None,
            Query::Time(t) => Some(Place::of(self.id(), ladder.by_time(*t))),
            Query::Speed(v) => found(ladder.last_at_speed(*v)),
        }
    }
}

impl Catalogue {
    /// Returns the place on the ladder of `test` that fits the query.
    ///
    /// # Errors
    ///
    /// [`LocateError`] when nothing does; it names the ladders where it would.
    pub fn locate(&self, test: &Test, query: &Query) -> Result<Place, LocateError> {
        test.place(query).ok_or_else(|| LocateError {
            id: test.id().to_owned(),
            asked: query.clone(),
            why: why_not(test, query),
            exists_on: self.iter().filter_map(|other| other.place(query)).collect(),
        })
    }
}

/// Returns what the ladder has instead.
fn why_not(test: &Test, query: &Query) -> String {
    let Some(ladder) = test.ladder() else {
        return "it is not paced by cues, so it has no ladder".to_owned();
    };
    let (Some(first), Some(last)) = (ladder.bouts().first(), ladder.last()) else {
        return "its ladder is empty".to_owned();
    };
    match query {
        Query::Label(label) => label_why(ladder, label.trim(), first, last),
        Query::Bouts(_) => format!("it has {} bouts", last.number),
        Query::Distance(d) => match ladder.within_distance(*d) {
            Some(b) if b.number == last.number => format!("it ends at {}", last.distance),
            below => {
                let lower = below.map_or(Length::ZERO, |b| b.distance);
                let upper = ladder.by_number(below.map_or(1, |b| b.number + 1));
                let upper = upper.map_or(last.distance, |b| b.distance);
                format!("a bout ends at {lower} and the next at {upper}")
            }
        },
        Query::Time(_) => "a time runs from the first start signal, 0 s".to_owned(),
        Query::Speed(_) => format!("its speeds run from {} to {}", first.speed, last.speed),
    }
}

/// Returns why a label is not there: the stage is missing, or the bout within the stage is.
fn label_why(ladder: &Ladder, label: &str, first: &Bout, last: &Bout) -> String {
    let stage = label.split_once('.').map_or(label, |(stage, _)| stage);
    let inside: Vec<&Bout> = ladder
        .bouts()
        .iter()
        .filter(|b| b.label.split_once('.').map_or(b.label.as_str(), |(s, _)| s) == stage)
        .collect();
    match (inside.first(), inside.last()) {
        (Some(a), Some(z)) if a.label == z.label => {
            format!("stage {stage} has one bout, `{}`", a.label)
        }
        (Some(a), Some(z)) => format!("stage {stage} runs from `{}` to `{}`", a.label, z.label),
        _ => format!(
            "it has no stage {stage}; labels run from `{}` to `{}`",
            first.label, last.label
        ),
    }
}
