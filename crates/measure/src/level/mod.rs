//! The true level of one person on every date, from all tests, and its parameters from a squad.
//! Level: random walk in time; results: exact, between two values, or only bounded on one side.
//! Formulas, sources, limits: docs/methods/level.md.

mod detectable;
mod engine;
mod ensemble;
mod fit;
mod grid;
mod kalman;
mod kernel;
mod lattice;
mod link;
mod model;
mod nodes;
mod outlook;
mod pairs;
mod posterior;
mod reading;
mod series;
mod squad;
mod tail;

pub use detectable::{Detectable, Plan, Planned, detectable};
pub use ensemble::{Averaged, AveragedChange, Ensemble};
pub use fit::{Estimate, FitRecord, Kept, Parameter, PriorWidth, SquadFit, StopReason, fit_squad};
pub use kalman::{Smoothed, State, kalman};
pub use link::Conversion;
pub use model::{Learning, Model, Normal, Start, Test};
pub use outlook::Outlook;
pub use pairs::TrueChange;
pub use posterior::{Level, Posterior, posterior};
pub use series::{Effect, Observation, Outcome, Series, conditions};
pub use squad::{Levels, levels};
