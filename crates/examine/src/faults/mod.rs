//! The faults, one file for each of the catalogue, run from the certain to the statistical.
//! A row claimed by one fault is left alone by the later ones, so that one error is told once.

mod cells;
mod code;
mod f01_label_not_on_ladder;
mod f02_label_distance_disagree;
mod f03_trailing_zero_lost;
mod f04_label_became_date;
mod f05_distance_not_a_step;
mod f06_unit_mixed;
mod f07_ladders_mixed;
mod f08_off_by_one;
mod f09_bouts_per_stage_differ;
mod f10_copied_down;
mod f10_row_slip;
mod f11_duplicate_person;
mod f12_dates;
mod f13_zero_for_absent;
mod f14_reason_missing_after_drop;
mod f15_outside_own_history;
mod f16_heaping;
mod f17_wave_shifted;
mod f18_heart_rate;
mod f19_clocks_differ;
mod f20_group_implausible;
mod f21_attempt_missing;
mod f22_centile_table;
mod finding;
mod groups;
mod ladder_phase;
mod state;

pub use code::{Code, Severity};
pub use finding::{Correction, Finding};

pub(crate) use state::{Group, Settled, State};

use crate::case::Case;
use crate::history::History;

/// Runs every detector.
pub(crate) fn run<'a>(case: &'a Case<'a>) -> State<'a> {
    let mut state = State::new(case);
    cells::run(&mut state);
    f13_zero_for_absent::run(&mut state);
    groups::run(&mut state);
    ladder_phase::run(&mut state);
    f03_trailing_zero_lost::run(&mut state);
    f06_unit_mixed::columns(&mut state);
    f12_dates::run(&mut state);
    f21_attempt_missing::run(&mut state);
    f11_duplicate_person::run(&mut state);
    f10_copied_down::run(&mut state);
    let history = History::of(&state);
    f10_row_slip::run(&mut state, &history);
    let shifts = f17_wave_shifted::run(&mut state, &history);
    let shift = |row: usize| shifts.get(row).copied().unwrap_or(0.0);
    f14_reason_missing_after_drop::run(&mut state, &history, &shift);
    f15_outside_own_history::run(&mut state, &history, &shift);
    f16_heaping::run(&mut state);
    f18_heart_rate::run(&mut state);
    f19_clocks_differ::run(&mut state);
    f20_group_implausible::run(&mut state);
    f22_centile_table::run(&mut state);
    state
}
