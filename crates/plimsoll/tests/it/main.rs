//! Whole-binary tests: the commands as a person or a program runs them.

mod archive;
mod change;
mod cues;
mod day;
mod heat;
mod level;
mod listen;
mod mixed;
mod plan;
mod questions;
mod reference;
mod sheets;
mod squad;
mod study;
mod support;
mod train;
mod usage;
mod workbooks;
