//! Checks against rules that others published.

mod officiating;
