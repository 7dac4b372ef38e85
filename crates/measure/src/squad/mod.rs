//! Questions about a squad on one day: retests, cuts, odd days, sheets, effort, assessors, plans.
//! Answers are chances with their basis; nothing is decided about a person.
//! Sources: docs/methods/squad-questions.md.

mod best_of;
mod causes;
mod cut;
mod effort;
mod fingerprint;
mod kappa;
mod laplace;
mod plan;
mod retest;
mod severity;
mod simplex;
mod slip;
mod slip_edits;

pub use best_of::{BestOf, best_of, chance_best_reaches};
pub use causes::{Cause, CauseKind, NextMeasurement, even_shape, learning_shape, training_shape};
pub use cut::{
    CutRisk, GuardBand, chance_above, chance_above_in_group, cut_risk, guard_band,
    guard_band_in_group,
};
pub use effort::{Hint, LowPeak, PredictedStop, Strength, cascade, heaping, low_peak};
pub use fingerprint::{CauseFit, Fingerprint, Runner, Suspect, Verdict, fingerprint};
pub use kappa::{Kappa, KappaWeights, kappa};
pub use plan::{
    people_for_error_width, people_for_mean_change, trials_for_change_se, trials_for_error_width,
};
pub use retest::{Group, LowestExpected, SelectedRetest, expected_of_lowest, retest_of_lowest};
pub use severity::{Rating, Severity, SeverityReport, SpreadRule, severity};
pub use simplex::{FitRecord, StopReason};
pub use slip::{SlipOptions, SlipReport, SlipRow, SlipVerdict, row_slip};
pub use slip_edits::Edit;
