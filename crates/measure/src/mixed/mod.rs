//! Linear mixed models by REML or ML: penalised least squares on relative covariance factors.
//! Does not choose the terms of a model, and decides nothing from a p value.
//! Formulas: Bates, Maechler, Bolker & Walker 2015 (J Stat Softw 67(1)); docs/methods/mixed-models.md.

mod blocks;
mod coding;
mod components;
mod constrained;
mod dense;
mod differences;
mod effects;
mod factors;
mod fit;
mod guard;
mod minimise;
mod model;
mod objective;
mod orthogonal;
mod outcome;
mod pair;
mod polish;
mod predict;
mod profile;
mod profile_start;
mod reduce;
mod satterthwaite;
mod search;
mod stats;
mod theta;

pub use coding::{intercept, treatment_columns};
pub use fit::fit;
pub use minimise::{Convergence, Stop};
pub use model::{Column, Criterion, Data, Design, RandomTerm, Settings, Structure, Weights};
pub use outcome::{Fit, FixedEffect, RandomColumn, TermEstimate};
pub use predict::{Level, Predicted};
pub use profile::{ProfileInterval, ProfileTarget};
pub use satterthwaite::ContrastTest;
