//! How much a measurement moves on its own: typical error, CV, agreement, reliability.
//! Every SD has its kind in its name; three of them are called "repeatability" in the literature.
//! Sources: Hopkins 2000, Bland & Altman 1986 and 1999, Shrout & Fleiss 1979 (see docs/methods).

mod agreement;
mod icc;
mod logs;
mod repeat;
mod typical;

pub use agreement::{Agreement, agreement, ratio_limits};
pub use icc::{Icc, IccForm, MeanSquares, icc, icc_interval, mean_squares};
pub use logs::{LogError, cv_from_log_error, log_error, log_error_from_cv};
pub use repeat::{Repeatability, repeatability};
pub use typical::{
    MeanChange, TypicalError, change_in_mean, error_from_icc, error_from_limits, pooled_error,
    typical_error, typical_error_of_trials,
};
