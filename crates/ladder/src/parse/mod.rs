//! Reads a definition file. Every fault is reported with line, column and what to do next.

mod definition;
mod reader;
mod size;
mod values;

pub(crate) use definition::definition;
