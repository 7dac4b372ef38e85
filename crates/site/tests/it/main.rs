//! Tests of the server from outside: requests in, answers and what is on disk out.

mod admission;
mod after;
mod change;
mod checks;
mod counts;
mod mixed;
mod pages;
mod paper_back;
mod plan;
mod questions;
mod recording;
mod restart;
mod server;
mod sound;
mod study;
mod support;
mod watch;
