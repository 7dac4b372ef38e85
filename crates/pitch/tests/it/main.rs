//! Tests of the pitch from outside.

mod course;
mod published;
mod ranges;
