//! One file a command. Each returns what it found or why it could not do its work.

mod ladder;
mod locate;
mod query;
mod tests;

use plimsoll_ladder::{Catalogue, Test};

use crate::cli::{Args, Command};
use crate::failure::{Failure, Found};
use crate::places;

/// Does what the command line asks for.
pub fn run(args: Args) -> Result<Found, Failure> {
    let catalogue = places::catalogue(args.archive.as_deref(), args.definitions.as_deref())?;
    match &args.command {
        Command::Tests => tests::run(&catalogue, args.json),
        Command::Ladder { id } => ladder::run(known_test(&catalogue, id)?, args.json),
        Command::Locate(locate) => {
            let test = known_test(&catalogue, &locate.id)?;
            locate::run(&catalogue, test, &query::of(&locate.known)?, args.json)
        }
    }
}

/// Returns the test with this id, or a failure naming the nearest ones.
pub fn known_test<'c>(catalogue: &'c Catalogue, id: &str) -> Result<&'c Test, Failure> {
    catalogue.get(id).ok_or_else(|| {
        Failure::new(format!("no test has the id `{id}`")).hint(format!(
            "nearest are {}; `plimsoll tests` lists all",
            catalogue.nearest(id).join(", ")
        ))
    })
}
