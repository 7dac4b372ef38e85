//! Tests of judging from outside: scripts of a wave in, states and outcomes out.

mod conflicts;
mod events;
mod interruptions;
mod properties;
mod published;
mod stops;
mod support;
