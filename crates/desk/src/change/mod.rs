//! Is a change real? One answer for command, page and report: two values, or a person's results.
//! Level first, the two tests alone beside it, and for the young what is left after expected growth.

mod figures;
mod growth;
mod person;
mod values;
mod words;
mod youth;

pub use growth::{
    AtAge, BeyondGrowth, DRIFT_OF_Z, GROWN, Growth, GrowthAnswer, GrowthAsk, GrowthSince, growth,
};
pub use person::{ChangeError, LevelAnswer, PairCurve, PersonAnswer, of_person};
pub use values::{ValuesAnswer, ValuesAsk, of_values};
pub use words::NOT_TRAINING;
pub use youth::youth;
