//! The confounders the trade blames for a result: all optional, none corrected for here.
//! Which ones, and how strong the evidence is: the job analysis, section 4 (confidence per line there).

use jiff::civil::Time;

use super::Reading;
use crate::db::V;
use crate::error::ArchiveError;
use crate::words::{Word, words};

words! {
    /// How well the runner knew the test.
    Familiarity {
        /// Never run before.
        FirstTime = "first_time",
        /// Practised, but not yet run for a result.
        Practised = "practised",
        /// Run for a result before.
        Familiar = "familiar",
    }

    /// Whether the runner was ill; never a diagnosis.
    Illness {
        /// Well.
        None = "none",
        /// Ill in the days before.
        Recent = "recent",
        /// Not quite well on the day.
        Present = "present",
    }

    /// Shouting from the side.
    Encouragement {
        /// None.
        None = "none",
        /// The same words at the same times for everyone.
        Scripted = "scripted",
        /// As people liked.
        Free = "free",
    }
}

/// The confounders of one result.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Covariates {
    /// Sleep in the night before, hours, 0 to 48.
    pub sleep_h: Option<f64>,
    /// Local time of waking.
    pub wake_time: Option<Time>,
    /// Hours since the last meal, 0 to 744.
    pub hours_since_meal: Option<f64>,
    /// Whether caffeine was taken that day.
    pub caffeine: Option<bool>,
    /// Caffeine taken that day, mg, 0 to 20 000.
    pub caffeine_mg: Option<f64>,
    /// Hours since hard training, 0 to 744.
    pub hours_since_hard_training: Option<f64>,
    /// Local time of the runner's own start.
    pub time_of_day: Option<Time>,
    /// Shoes.
    pub footwear: Option<String>,
    /// How well the runner knew the test.
    pub familiarity: Option<Familiarity>,
    /// The runner's own rating, 1 to 10, 10 the highest.
    pub motivation: Option<u32>,
    /// Whether the runner was ill; never a diagnosis.
    pub illness: Option<Illness>,
    /// Shouting from the side.
    pub encouragement: Option<Encouragement>,
    /// How many ran together, from 1.
    pub wave_size: Option<u32>,
}

impl Covariates {
    /// Reads the columns from `sleep_h` to `wave_size`.
    pub(super) fn read(row: &mut Reading) -> Result<Self, ArchiveError> {
        Ok(Self {
            sleep_h: row.opt_real()?,
            wake_time: row.opt_time()?,
            hours_since_meal: row.opt_real()?,
            caffeine: row.opt_flag()?,
            caffeine_mg: row.opt_real()?,
            hours_since_hard_training: row.opt_real()?,
            time_of_day: row.opt_time()?,
            footwear: row.opt_text()?,
            familiarity: row.opt_word()?,
            motivation: row.opt_int()?,
            illness: row.opt_word()?,
            encouragement: row.opt_word()?,
            wave_size: row.opt_int()?,
        })
    }

    /// Returns the columns from `sleep_h` to `wave_size`.
    pub(super) fn to_values(&self) -> [V; 13] {
        [
            self.sleep_h.into(),
            self.wake_time.map(|time| time.to_string()).into(),
            self.hours_since_meal.into(),
            self.caffeine.into(),
            self.caffeine_mg.into(),
            self.hours_since_hard_training.into(),
            self.time_of_day.map(|time| time.to_string()).into(),
            self.footwear.clone().into(),
            self.familiarity.map(Word::as_str).into(),
            self.motivation.into(),
            self.illness.map(Word::as_str).into(),
            self.encouragement.map(Word::as_str).into(),
            self.wave_size.into(),
        ]
    }
}
