//! Test definitions, their ladders and timelines, and the way back from a label or a distance.
//! Pure: no clock, no sound, no disk. Instants are rounded once from exact rationals.
//! Facts come from `protocols/`; every value there carries its confidence and source.

mod build;
mod catalogue;
mod confidence;
mod decimal;
mod definition;
mod error;
mod exact;
mod fingerprint;
mod ladder;
mod locate;
mod parse;
mod sources;
mod test;
mod timeline;
mod units;

pub use catalogue::{BUILT_IN, Catalogue};
pub use confidence::{Confidence, UnknownConfidence};
pub use definition::{
    Advance, Course, Definition, LadderSource, Note, Pace, Rules, Shape, Sourced, Stage, Work,
};
pub use error::{CatalogueError, DefinitionError, DefinitionErrors};
pub use ladder::{Bout, Ladder, Signal, SignalKind, StageSpan};
pub use locate::{LocateError, Place, Query};
pub use sources::{Source, built_in_sources};
pub use test::Test;
pub use timeline::{Cue, CueKind};
pub use units::{Instant, Length, Span, Speed};
