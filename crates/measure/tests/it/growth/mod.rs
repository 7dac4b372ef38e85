//! Checks of fitted references.

mod bins;
mod checks;
mod faults;
mod invariance;
mod recovery;
mod trend;
