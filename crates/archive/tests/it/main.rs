//! Tests of the archive from outside: through its public face, other processes, and the bare file.

mod check;
mod child;
mod export;
mod imports;
mod kill;
mod people;
mod processes;
mod properties;
mod results;
mod schema;
mod sound_checks;
mod support;
mod undo;
mod waves;
