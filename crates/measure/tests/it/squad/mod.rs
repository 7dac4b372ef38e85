//! Questions about a squad: planted causes and slips, closed forms, invariances, bad input.

mod assessors;
mod cuts;
mod effort_and_plans;
mod fingerprints;
mod slips;
