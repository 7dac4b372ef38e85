//! Training set from a test: groups with their run, people with their own, and what it rests on.
//! Must not compute: speeds, distances and chances arrive ready, each with its words.

use serde::{Deserialize, Serialize};

use crate::model::{Cautions, Tag};

/// A remark with its tag.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TrainingNote {
    /// The remark.
    pub text: String,
    /// How it is known.
    pub tag: Tag,
}

/// One group of people who run the same distance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrainingGroup {
    /// Number, 1 for the fastest.
    pub number: usize,
    /// Lower end of the band, km/h, included.
    pub low_kmh: f64,
    /// Upper end, km/h, not included.
    pub high_kmh: f64,
    /// Middle of the band, km/h.
    pub middle_kmh: f64,
    /// Speed of the run, km/h; none when everyone runs their own.
    pub speed_kmh: Option<f64>,
    /// Distance of the run, m.
    pub distance_m: Option<f64>,
    /// Turns in it.
    pub turns: Option<u32>,
}

/// One person.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrainingPerson {
    /// Name.
    pub name: String,
    /// Reference speed, km/h; none without a result.
    pub reference_kmh: Option<f64>,
    /// Typical error of the reference speed, km/h.
    pub error_kmh: Option<f64>,
    /// Group; none when not grouped.
    pub group: Option<usize>,
    /// The group by speed, when the coach moved the person.
    pub moved_from: Option<usize>,
    /// Chance that the true speed belongs to another band, 0 to 1.
    pub chance_other: Option<f64>,
    /// The person's own speed in this format, km/h.
    pub speed_kmh: Option<f64>,
    /// The person's own distance, m.
    pub distance_m: Option<f64>,
    /// Turns in it.
    pub turns: Option<u32>,
    /// What the group's run is for this person, percent of the reference speed.
    pub group_percent: Option<f64>,
    /// Marks: "first trial", "at least".
    pub marks: Vec<String>,
    /// Why there is no speed of the person's own; empty when there is one.
    pub refused: String,
}

/// Training set from a test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrainingCard {
    /// Title.
    pub title: String,
    /// Where the speeds come from: test, day or file.
    pub origin: String,
    /// Id of the test.
    pub test: String,
    /// Interval format, such as "15:15".
    pub format: String,
    /// Run, s.
    pub work_s: f64,
    /// Rest, s.
    pub rest_s: f64,
    /// How hard, in words.
    pub intensity: String,
    /// Where and how turns count, in words.
    pub course: String,
    /// Sets and repetitions, in words; empty when not known.
    pub volume: String,
    /// Width of the bands, km/h; none without groups.
    pub width_kmh: Option<f64>,
    /// Why that width, in words; empty without groups.
    pub width_basis: String,
    /// The groups, the fastest first.
    pub groups: Vec<TrainingGroup>,
    /// The people, the fastest first, then those without a speed.
    pub people: Vec<TrainingPerson>,
    /// What to know, with tags.
    pub notes: Vec<TrainingNote>,
    /// Cautions.
    pub cautions: Cautions,
}

impl TrainingCard {
    /// Returns the people of a group, or those of none.
    pub fn members(&self, group: Option<usize>) -> impl Iterator<Item = &TrainingPerson> {
        self.people.iter().filter(move |p| p.group == group)
    }
}
