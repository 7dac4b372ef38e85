//! Reference curves from raw data: smooth L, M and S by age, with errors and checks of fit.
//! Never extrapolates in age, never hides a fit that did not end well.
//! Model: Cole & Green 1992; smoothing: Eilers & Marx 1996; docs/methods/growth-references.md.

mod basis;
mod blend;
mod boxcox;
mod centile;
mod estimate;
mod groups;
mod information;
mod matrix;
mod model;
mod newton;
mod normality;
mod residuals;
mod sample;
mod shape;
mod shares;
mod smoothing;
mod start;
mod trend;
mod worm;

pub use basis::Shape;
pub use centile::{Centile, Growth, SE_LIMIT};
pub use estimate::{Curve, LmsFit, fit};
pub use groups::{AgeGroup, Groups, QTest};
pub use model::{MedianScale, Model, Smoothing};
pub use newton::{Convergence, Stop};
pub use normality::{Moments, kurtosis_test, skewness_test};
pub use residuals::{Residual, Residuals, residuals};
pub use sample::{Cell, Row, Sample};
pub use shape::{Alarm, ShapeCheck};
pub use trend::{Beyond, Errors, Expected, Seen, beyond_growth};
pub use worm::{Worm, WormPoint};
