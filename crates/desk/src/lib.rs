//! The work after the run: import a sheet, score it, say what it means, fill the report.
//! Puts the other crates together; prints nothing, reads no clock and no environment.

pub mod change;
pub mod day_card;
pub mod day_report;
pub mod history;
pub mod import;
pub mod level;
pub mod meaning;
pub mod mixed;
pub mod planning;
pub mod reference;
pub mod score;
pub mod sound_check;
pub mod squad;
pub mod study;
pub mod test_day;
pub mod training;

pub use day_card::{DayCard, DayCardError, day_card, plain_day};
pub use day_report::{DayReportError, day_report};
pub use meaning::{Choices, Meaning, Question, meaning};
pub use plimsoll_listen::worth_bouts;
pub use score::{Score, score};
