//! Checks of the ladder crate against the world outside it, its corpus and its laws.

mod catalogue;
mod corpus;
mod laws;
mod published;
