//! Planning: closed forms, seeded simulation, properties, bad input.

mod assigning;
mod closed_forms;
mod faults;
mod simulated;

use plimsoll_measure::planning::{Rungs, Runner};

/// Bouts of 40 m every 25 s.
pub fn rungs(bouts: usize) -> Rungs {
    let each = |by: f64| (1..=bouts).map(|k| k as f64 * by).collect();
    Rungs::new(each(40.0), each(25.0)).expect("rising")
}

pub fn runner(metres: f64, sd: f64) -> Runner {
    Runner::new(metres.ln(), sd).expect("within range")
}
