//! Whole examinations: the fixtures of the catalogue, simulated sheets, hostile bytes, large files.

mod clean;
mod docs;
mod encodings;
mod fixtures;
mod hostile;
mod ladders;
mod large;
mod layouts;
mod records;
mod support;
mod workbooks;
