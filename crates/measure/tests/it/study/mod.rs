//! The reliability study: against its own parts, calibration, invariances, degenerate input.

mod calibration;
mod degenerate;
mod invariances;
