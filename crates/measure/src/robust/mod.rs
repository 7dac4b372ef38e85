//! Slopes and places that one wild value cannot move: Theil-Sen, Siegel, Kendall, Huber, quantiles.
//! Plain pairs and lists; no weights. Ties in x are left out of slopes, ties in either are counted.
//! Formulas and limits: docs/methods/training.md.

mod huber;
mod kendall;
mod place;
mod slope;

pub use huber::{Huber, huber};
pub use kendall::{Kendall, KendallBasis, kendall};
pub use place::{QuantileType, deviation_from_median, quantile, trimmed_mean};
pub use slope::{RobustLine, RobustSlope, SlopeInterval, siegel, theil_sen};
