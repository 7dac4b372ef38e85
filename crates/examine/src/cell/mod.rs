//! Reads the cells of each field: label, distance, count, time, speed, date, words.
//! Says what a cell could mean and never picks silently; a whole column decides what one cell cannot.

mod count;
mod date;
mod distance;
mod label;
mod number;
mod sex;
mod speed;
mod time;
mod words;

pub use date::{DateOrder, DateReading};
pub use label::{Label, LabelReading};
pub use sex::Sex;

pub(crate) use count::{CountReading, count};
pub(crate) use date::date;
pub(crate) use distance::{DistanceReading, distance};
pub(crate) use label::label;
pub(crate) use number::parse_number;
pub(crate) use sex::{sex, word_sex};
pub(crate) use speed::{SpeedReading, speed};
pub(crate) use time::{TimeForm, TimeReading, time};
pub(crate) use words::{hints_at_other_cause, is_absent};
