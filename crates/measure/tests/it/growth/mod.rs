//! Checks of fitted references.

mod bins;
mod checks;
mod drawn;
mod faults;
mod invariance;
mod recovery;
mod trend;
