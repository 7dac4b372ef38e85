//! One file a command. Each returns what it found or why it could not do its work.

mod archive;
mod cautions;
mod change;
mod cues;
mod day;
mod demo;
mod demo_day;
mod demo_sound;
mod examine;
mod heat;
mod import;
mod ladder;
mod level;
mod listen;
mod locate;
mod mixed;
mod model;
mod people;
mod plan;
mod query;
mod reading;
mod reference;
mod rehearsal;
mod report;
mod results;
mod serve;
mod squad;
mod study;
mod tests;
mod train;

use plimsoll_ladder::{Catalogue, Test};

use crate::cli::{Args, Command, ResultsCommand};
use crate::failure::{Failure, Found};
use crate::places::{self, Session};

/// Does what the command line asks for.
pub fn run(args: Args) -> Result<Found, Failure> {
    let session = Session {
        json: args.json,
        archive: args.archive,
        who: args.who,
    };
    let tests = || places::catalogue(session.archive.as_deref(), args.definitions.as_deref());
    let facts = || places::facts(session.archive.as_deref());
    match &args.command {
        Command::Tests => tests::run(&tests()?, args.json),
        Command::Ladder { id } => ladder::run(known_test(&tests()?, id)?, args.json),
        Command::Locate(locate) => {
            let catalogue = tests()?;
            let test = known_test(&catalogue, &locate.id)?;
            locate::run(&catalogue, test, &query::of(&locate.known)?, args.json)
        }
        Command::Cues(cues) => cues::run(known_test(&tests()?, &cues.id)?, cues, args.json),
        Command::Listen(args) => listen::run(&session, &tests()?, args),
        Command::Examine(examine) => examine::run(&session, &tests()?, examine),
        Command::Results(results) => match &results.command {
            None => results::run(&session, &tests()?, results),
            Some(ResultsCommand::Import(sheet)) => {
                import::results(&session, &tests()?, &facts()?, sheet)
            }
        },
        Command::Level(level) => level::run(&session, &tests()?, &facts()?, level),
        Command::Change(change) => change::run(&session, &tests()?, &facts()?, change),
        Command::Squad(args) => squad::run(&session, &tests()?, &facts()?, args),
        Command::Study(args) => study::run(&session, &tests()?, &facts()?, args),
        Command::Mixed(args) => mixed::run(&session, &tests()?, &facts()?, args),
        Command::Reference(command) => reference::run(&session, &tests()?, facts, command),
        Command::Train(args) => train::run(&session, &tests()?, &facts()?, args),
        Command::Report(report) => report::run(&session, &tests()?, &facts()?, report),
        Command::Cautions => cautions::run(args.json),
        Command::Heat(args) => heat::run(args, session.json),
        Command::Plan(args) => plan::run(&session, &tests()?, &facts()?, args),
        Command::Day(command) => day::run(&session, &tests()?, command),
        Command::Serve(args) => serve::run(&session, tests()?, facts()?, args),
        Command::Demo(demo) => demo::run(&session, &tests()?, &facts()?, demo),
        Command::Archive(command) => archive::run(&session, command),
        Command::People(command) => people::run(&session, tests, command),
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
