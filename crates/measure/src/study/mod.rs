//! A whole reliability study from repeated trials, complete or with trials missing.
//! Builds on `error` and `change`; decides nothing about a person.
//! Sources: docs/methods/reliability-study.md.

mod additive;
mod agreement;
mod analysis;
mod blend;
mod components;
mod correlation;
mod figures;
mod influence;
mod learning;
mod level;
mod limits;
mod pairs;
mod trials;
mod whole;

pub use analysis::{Analysis, Detectable, ErrorEstimate, Sem, detectable};
pub use blend::{Blend, BlendBasis, Published, blend};
pub use components::Components;
pub use correlation::IccEstimate;
pub use figures::{ErrorBand, PairPoint, PersonLine, error_by_level, pair_points, person_lines};
pub use influence::{Influence, InfluenceReport};
pub use learning::{FirstPair, Learning};
pub use level::{Advice, LevelCheck, Relation, level_check};
pub use limits::{Limits, limits_of};
pub use pairs::PairResult;
pub use trials::{LongRow, Trials};
pub use whole::{Study, six_correlations, study};
