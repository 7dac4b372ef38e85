//! Integration tests of the report crate, as a caller and a reader of its files see it.

mod cut;
mod figures;
mod fixture;
mod lead;
mod mixed;
mod pages;
mod scripts;
mod sheet_day;
mod sheet_pages;
mod sheets;
mod sound;
mod stops;
mod tables;
mod tools;
mod training;
mod true_change;
