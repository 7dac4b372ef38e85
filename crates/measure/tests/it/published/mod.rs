//! One module a source.

mod bland_altman_1986;
mod cdc_2000_growth;
mod critical_speed;
mod davies_goldsmith_1972;
mod lme4_1_1_31;
mod lme4_crossed;
mod lms_ages;
pub mod lms_synthetic;
mod lms_zscores;
mod nile_durbin_koopman;
mod scipy_1_17_1;
mod scipy_odr;
mod shrout_fleiss_1979;
mod stat_test_vectors;
mod study_gaps;
mod study_golden;
mod study_squad;
mod vgam_1_1_7;
