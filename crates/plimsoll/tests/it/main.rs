//! Whole-binary tests: the commands as a person or a program runs them.

mod archive;
mod cues;
mod day;
mod heat;
mod listen;
mod questions;
mod sheets;
mod support;
mod usage;
