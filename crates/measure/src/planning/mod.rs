//! Planning on plain numbers: when runners of a ladder stop, what a wave comes to, whom to watch.
//! Distances are normal on the ln scale for each runner; decides nothing and knows no test.
//! Formulas, sources, limits: docs/methods/planning.md.

mod predict;
mod retest;
mod rungs;
mod runner;
mod share_out;
mod splits;
mod wave;

pub use predict::{Squad, squad_predictions};
pub use retest::{Retest, RetestPlan, chance_seen, retest};
pub use rungs::Rungs;
pub use runner::{Runner, hazard, hazard_with_misses, stops, survival};
pub use share_out::{Search, Shares, share_out};
pub use splits::{Splits, split_waves};
pub use wave::{Count, alone, count_of, last_stop, together, within};
