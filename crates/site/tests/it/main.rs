//! Tests of the server from outside: requests in, answers and what is on disk out.

mod admission;
mod after;
mod checks;
mod pages;
mod paper_back;
mod recording;
mod restart;
mod server;
mod sound;
mod support;
mod watch;
