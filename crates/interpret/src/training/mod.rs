//! From a final speed to running speeds, distances for a work period, and groups.
//! Must not turn a speed into another without a rule: what has none is refused in words.
//! Rules: docs/methods/training.md; interval formats and bases: references/training.

mod bands;
mod format;
mod refusal;
mod rules;
mod scale;
mod trials;
mod work;

pub use bands::{Apart, Banded, Doubt, Group, GroupChoices, Grouping, Member, Runner, groups};
pub use format::{Format, Periods, format_of, intensity_of, range_of};
pub use plimsoll_measure::Interval;
pub use plimsoll_measure::critical::{CriticalFit, CriticalFits, Method, Trial, critical_fits};
pub use refusal::TrainingRefusal;
pub use trials::{Plan, SHARE_TO_SPEND, TRIAL_S, is_implausible, plan, trial_words};
pub use work::{
    Correction, Course, HAYDAR_STRAIGHT, Intensity, MOST_PERCENT, Rules, Speeds, TURN_LOSS_S, Work,
    work,
};
