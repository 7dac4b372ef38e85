//! `plimsoll people …`: list, merge, rename.

use plimsoll_archive::{Person, Word};
use plimsoll_ladder::Catalogue;
use serde_json::{Value, json};

use super::import;
use crate::cli::PeopleCommand;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, Align};

/// Does what is asked about people.
pub fn run(
    session: &Session,
    tests: impl FnOnce() -> Result<Catalogue, Failure>,
    command: &PeopleCommand,
) -> Result<Found, Failure> {
    match command {
        PeopleCommand::Import(roster) => import::people(session, &tests()?, roster),
        PeopleCommand::List => list(session),
        PeopleCommand::Merge { keep, duplicate } => {
            let mut archive = session.write()?;
            let (keep, duplicate) = (
                archive.person_named(keep)?,
                archive.person_named(duplicate)?,
            );
            let report = archive.merge_people(keep.id, duplicate.id)?;
            done(
                session,
                &format!(
                    "{} and {} are one person now; `plimsoll people unmerge \"{}\"` takes it back",
                    keep.facts.called_name, duplicate.facts.called_name, keep.facts.called_name
                ),
                &report.disagreements,
            )
        }
        PeopleCommand::Unmerge { person } => {
            let mut archive = session.write()?;
            let person = archive.person_named(person)?;
            let merge = archive.merges()?.into_iter().rfind(|m| m.kept == person.id);
            let merge = merge.ok_or_else(|| {
                Failure::new(format!(
                    "nothing was merged into {}",
                    person.facts.called_name
                ))
                .hint("`plimsoll people list` shows who was merged")
            })?;
            archive.unmerge(merge.id)?;
            done(
                session,
                &format!("{} stands alone again", person.facts.called_name),
                &[],
            )
        }
        PeopleCommand::Rename { person, name } => {
            let mut archive = session.write()?;
            let person = archive.person_named(person)?;
            archive.rename_person(person.id, name)?;
            done(
                session,
                &format!(
                    "{} is called {name} now; the old name is still found",
                    person.facts.called_name
                ),
                &[],
            )
        }
        PeopleCommand::Alias { person, name } => {
            let mut archive = session.write()?;
            let person = archive.person_named(person)?;
            archive.add_alias(person.id, name)?;
            done(
                session,
                &format!("{} is also found as {name}", person.facts.called_name),
                &[],
            )
        }
    }
}

/// Prints what was done and what to look at.
fn done(session: &Session, what: &str, look_at: &[String]) -> Result<Found, Failure> {
    if session.json {
        print::json(&json!({ "done": what, "disagreements": look_at }))?;
    } else {
        print::text(what)?;
        for line in look_at {
            print::text(format!("  they disagree: {line}"))?;
        }
    }
    Ok(Found::any(!look_at.is_empty()))
}

fn list(session: &Session) -> Result<Found, Failure> {
    let people = session.read()?.people()?;
    if session.json {
        print::json(&Value::Array(people.iter().map(document).collect()))?;
        return Ok(Found::Nothing);
    }
    let head = [
        ("name", Align::Left),
        ("born", Align::Left),
        ("sex", Align::Left),
        ("squads", Align::Left),
        ("also", Align::Left),
    ];
    let rows: Vec<Vec<String>> = people
        .iter()
        .map(|p| {
            let merged = match p.merged.len() {
                0 => String::new(),
                n => format!(" (+{n} merged)"),
            };
            vec![
                p.facts.called_name.clone() + &merged,
                p.facts
                    .birth_date
                    .map(|d| d.to_string())
                    .unwrap_or_default(),
                p.facts
                    .sex
                    .map(|s| s.as_str().to_owned())
                    .unwrap_or_default(),
                squads(p).join(", "),
                p.aliases.join(", "),
            ]
        })
        .collect();
    print::text(print::table(&head, &rows))?;
    Ok(Found::Nothing)
}

fn document(person: &Person) -> Value {
    json!({
        "id": person.id.to_string(),
        "name": person.facts.called_name,
        "birth_date": person.facts.birth_date.map(|d| d.to_string()),
        "sex": person.facts.sex.map(|s| s.as_str()),
        "squads": squads(person),
        "aliases": person.aliases,
        "merged": person.merged.iter().map(ToString::to_string).collect::<Vec<_>>(),
    })
}

fn squads(person: &Person) -> Vec<String> {
    person
        .memberships
        .iter()
        .map(|m| m.membership.squad.clone())
        .collect()
}
