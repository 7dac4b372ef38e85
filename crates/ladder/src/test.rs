//! A test: a resolved definition with its ladder, built when first asked for.

use std::sync::OnceLock;

use crate::build;
use crate::confidence::Confidence;
use crate::definition::{Definition, Shape};
use crate::fingerprint;
use crate::ladder::Ladder;
use crate::timeline::{self, Cue};
use crate::units::{Instant, Length, Span};

/// A test of the catalogue.
#[derive(Debug)]
pub struct Test {
    definition: Definition,
    built_in: bool,
    file: String,
    ladder: OnceLock<Option<Ladder>>,
}

impl Test {
    /// Wraps a resolved definition.
    pub(crate) const fn new(definition: Definition, built_in: bool, file: String) -> Self {
        Self {
            definition,
            built_in,
            file,
            ladder: OnceLock::new(),
        }
    }

    /// Returns the id.
    pub fn id(&self) -> &str {
        &self.definition.id
    }

    /// Returns the descriptive name.
    pub fn name(&self) -> &str {
        &self.definition.name
    }

    /// Returns the shape.
    pub const fn shape(&self) -> Shape {
        self.definition.shape
    }

    /// Returns the weakest confidence among the values that make the ladder.
    pub fn status(&self) -> Confidence {
        self.definition.status()
    }

    /// Returns the definition, with what it takes from its base filled in.
    pub const fn definition(&self) -> &Definition {
        &self.definition
    }

    /// Returns whether the definition came with the program.
    pub const fn is_built_in(&self) -> bool {
        self.built_in
    }

    /// Returns the name of the file it was read from.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// Returns the ladder of a paced test; nothing for an unpaced one.
    pub fn ladder(&self) -> Option<&Ladder> {
        self.ladder
            .get_or_init(|| build::ladder(&self.definition))
            .as_ref()
    }

    /// Returns the cues of a paced test in order; none for an unpaced one.
    pub fn cues(&self) -> Vec<Cue> {
        self.ladder()
            .map(|ladder| timeline::cues(&self.definition, ladder))
            .unwrap_or_default()
    }

    /// Returns the fingerprint of cues and announcements, 16 hexadecimal digits.
    pub fn fingerprint(&self) -> String {
        fingerprint::fingerprint(&self.definition, &self.cues())
    }

    /// Returns the fingerprint that the same cues have with another script of announcements.
    pub fn fingerprint_with(&self, script: &str) -> String {
        fingerprint::with_script(&self.cues(), script)
    }

    /// Returns the instants to call out or record in an unpaced test, from the start.
    pub fn marks(&self) -> Vec<Instant> {
        let pace = &self.definition.pace;
        let at = |span: Span| Instant::from_nanos(span.as_nanos());
        if let Some(marks) = &pace.marks {
            return marks.value.iter().map(|m| at(*m)).collect();
        }
        let repeats = pace.repeats.as_ref().map_or(0, |r| i64::from(r.value));
        let cycle = match (&pace.cycle, &pace.run, &pace.recovery) {
            (Some(cycle), ..) => Some(cycle.value),
            (None, Some(run), Some(rest)) => Some(Span::from_nanos(
                run.value.as_nanos() + rest.value.as_nanos(),
            )),
            _ => None,
        };
        match cycle {
            Some(cycle) if repeats > 0 => (0..repeats)
                .map(|n| Instant::from_nanos(cycle.as_nanos() * n))
                .collect(),
            _ => match (self.shape(), &pace.run) {
                (Shape::DistanceInTime, Some(run)) => vec![Instant::START, at(run.value)],
                _ => vec![Instant::START],
            },
        }
    }

    /// Returns the distance at the end of the ladder, or the fixed distance of an unpaced test.
    pub fn max_distance(&self) -> Option<Length> {
        if let Some(ladder) = self.ladder() {
            return ladder.last().map(|bout| bout.distance);
        }
        let distances = &self.definition.course.distances.as_ref()?.value;
        match self.shape() {
            Shape::TimeForDistance => distances.iter().max().copied(),
            Shape::Sprints => {
                let repeats = u64::from(self.definition.pace.repeats.as_ref()?.value);
                distances
                    .first()
                    .map(|d| Length::from_mm(d.as_mm() * repeats))
            }
            _ => None,
        }
    }

    /// Returns the time to the last finish of the ladder, or the fixed time of an unpaced test.
    pub fn duration(&self) -> Option<Span> {
        if let Some(ladder) = self.ladder() {
            return ladder.last().map(|bout| bout.finish.since(Instant::START));
        }
        match self.shape() {
            Shape::DistanceInTime => self.definition.pace.run.as_ref().map(|run| run.value),
            _ => None,
        }
    }
}
