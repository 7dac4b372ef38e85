//! One module a source.

mod bland_altman_1986;
mod lms_zscores;
mod scipy_1_17_1;
mod shrout_fleiss_1979;
mod stat_test_vectors;
