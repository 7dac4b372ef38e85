//! The reference files as data: built in, and a user's own beside them.
//! Reads texts, not the disk: the caller hands in (name, text) pairs.
//! Format: docs/methods/references.md.

mod builtin;
mod catalogue;
mod effects;
mod header;
mod population;
mod reliability;
mod table;
mod training;
mod works;

pub use catalogue::Catalogue;
pub use effects::Effect;
pub use header::{Origin, Provenance};
pub use population::{AgeBand, Population, ReferenceRow, Statistic};
pub use reliability::{
    Better, DefaultError, ErrorUse, ReliabilityRow, ReliabilityStudy, Scale, TestScale,
};
pub use training::{BasisKind, IntervalFormat, TrainingBasis};
pub use works::Work;
