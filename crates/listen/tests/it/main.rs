//! All integration tests of the crate in one binary.
#![expect(clippy::print_stdout, reason = "the tests print their tallies")]

mod foreign;
mod foreign_align;
mod onsets;
mod published;
