//! Checks against tables that other programs and papers gave.

mod indices_grid;
mod thresholds;
mod wbgt_grid;
