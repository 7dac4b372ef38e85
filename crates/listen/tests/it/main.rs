//! All integration tests of the crate in one binary.
#![expect(clippy::print_stdout, reason = "the tests print their tallies")]

mod foreign;
mod foreign_align;
mod onsets;
mod own;
mod published;
mod read;
mod read_errors;
mod read_hostile;
mod read_wav;
mod tapping;
