//! The answers as sections of words, in the order in which a coach reads them.
//! Must not add or leave out anything of the parts.

use super::{Answers, Part};

/// One question and its answer in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Section<'a> {
    /// The question.
    pub title: &'static str,
    /// Whether there is an answer.
    pub answered: bool,
    /// The sentences.
    pub says: &'a [String],
    /// What it rests on.
    pub basis: &'a str,
    /// What would settle it.
    pub settle: &'a str,
}

impl<'a> Section<'a> {
    fn of<T>(title: &'static str, part: &'a Part<T>) -> Self {
        Self {
            title,
            answered: part.answer.is_some(),
            says: &part.says,
            basis: &part.basis,
            settle: &part.settle,
        }
    }
}

impl Answers {
    /// Returns the section about the cut; nothing when no cut was asked about.
    pub fn cut_section(&self) -> Option<Section<'_>> {
        let part = self.cut.as_ref()?;
        Some(Section::of("At the cut", part))
    }

    /// Returns the section about the lowest.
    pub fn lowest_section(&self) -> Section<'_> {
        Section::of("The lowest, next time", &self.lowest)
    }

    /// Returns the sections that are words alone.
    pub fn other_sections(&self) -> [Section<'_>; 5] {
        [
            Section::of("Are the results on the right rows?", &self.rows),
            Section::of("Effort: stops as a stage begins", &self.stage_starts),
            Section::of(
                "Effort: stops right after one another",
                &self.stops_together,
            ),
            Section::of("Effort: peak heart rate", &self.peak_heart_rate),
            Section::of("The assessors", &self.assessors),
        ]
    }
}
