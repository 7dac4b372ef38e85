//! `plimsoll archive …`: back up, check, export, restore, undo, and what is held.

use plimsoll_archive::Archive;
use serde_json::{Value, json};

use crate::cli::ArchiveCommand;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, Align};

/// Does what is asked of the archive.
pub fn run(session: &Session, command: &ArchiveCommand) -> Result<Found, Failure> {
    match command {
        ArchiveCommand::Create => {
            let made = session.create()?;
            say(
                session,
                &format!("made an archive in {}", made.dir().display()),
            )
        }
        ArchiveCommand::Backup { to } => {
            session.read()?.backup(to)?;
            say(
                session,
                &format!("backed up to {} and checked the copy", to.display()),
            )
        }
        ArchiveCommand::Check => check(session),
        ArchiveCommand::Export { to } => {
            session.read()?.export(to)?;
            say(session, &format!("exported to {}", to.display()))
        }
        ArchiveCommand::Restore { from } => {
            let folder = session.folder()?;
            Archive::restore(from, &folder)?;
            say(
                session,
                &format!("restored {} to {}", from.display(), folder.display()),
            )
        }
        ArchiveCommand::Journal => journal(session),
        ArchiveCommand::Undo { change } => {
            session.write()?.undo_change(*change)?;
            say(
                session,
                &format!(
                    "change {change} is undone; `plimsoll archive redo {change}` takes that back"
                ),
            )
        }
        ArchiveCommand::Redo { change } => {
            session.write()?.redo_change(*change)?;
            say(session, &format!("change {change} is in force again"))
        }
        ArchiveCommand::Held => held(session),
    }
}

/// Prints what was done.
fn say(session: &Session, done: &str) -> Result<Found, Failure> {
    if session.json {
        print::json(&json!({ "done": done }))?;
    } else {
        print::text(done)?;
    }
    Ok(Found::Nothing)
}

fn check(session: &Session) -> Result<Found, Failure> {
    let findings = session.read()?.check()?;
    if session.json {
        let list: Vec<Value> = findings.iter().map(|f| json!(f.to_string())).collect();
        print::json(&json!({ "sound": findings.is_empty(), "findings": list }))?;
    } else if findings.is_empty() {
        print::text("the archive is sound")?;
    } else {
        for finding in &findings {
            print::text(finding.to_string())?;
        }
        print::text("\nkeep the archive as it is and restore a backup or an export beside it")?;
    }
    Ok(Found::any(!findings.is_empty()))
}

fn journal(session: &Session) -> Result<Found, Failure> {
    let changes = session.read()?.journal()?;
    if session.json {
        let list: Vec<Value> = changes
            .iter()
            .map(|c| {
                json!({
                    "change": c.seq, "at_ms": c.at_ms, "who": c.who,
                    "kind": plimsoll_archive::Word::as_str(c.kind),
                    "summary": c.summary, "undone": c.undone,
                })
            })
            .collect();
        print::json(&Value::Array(list))?;
        return Ok(Found::Nothing);
    }
    let head = [
        ("change", Align::Right),
        ("when", Align::Left),
        ("who", Align::Left),
        ("what", Align::Left),
        ("", Align::Left),
    ];
    let rows: Vec<Vec<String>> = changes
        .iter()
        .map(|c| {
            let when = jiff::Timestamp::from_millisecond(c.at_ms)
                .map(|t| t.strftime("%Y-%m-%d %H:%M UTC").to_string())
                .unwrap_or_default();
            let state = if c.undone { "undone" } else { "" };
            vec![
                c.seq.to_string(),
                when,
                c.who.clone(),
                c.summary.clone(),
                state.to_owned(),
            ]
        })
        .collect();
    print::text(print::table(&head, &rows))?;
    Ok(Found::Nothing)
}

fn held(session: &Session) -> Result<Found, Failure> {
    let rows = session.read()?.held_rows()?;
    let open: Vec<_> = rows.iter().filter(|r| r.settled.is_none()).collect();
    if session.json {
        let list: Vec<Value> = open
            .iter()
            .map(|r| {
                json!({ "id": r.id.to_string(), "row": r.source.row, "as_written": r.source.as_written })
            })
            .collect();
        print::json(&Value::Array(list))?;
    } else if open.is_empty() {
        print::text("no row is held back")?;
    } else {
        for r in &open {
            print::text(format!(
                "{}  row {}: {}",
                r.id, r.source.row, r.source.as_written
            ))?;
        }
    }
    Ok(Found::any(!open.is_empty()))
}
