//! `plimsoll people import` and `plimsoll results import`.

use plimsoll_desk::day_card;
use plimsoll_desk::import::{Common, ResultsOrder, Ruling, import_people, import_results};
use plimsoll_desk::squad::{SheetRead, sheets_of_changes};
use plimsoll_examine::{Correction, Options};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use serde_json::{Value, json};

use super::{examine, reading};
use crate::cli::{PeopleImport, ResultsImport};
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print;
use crate::world::today;

/// Imports a roster.
pub fn people(
    session: &Session,
    catalogue: &Catalogue,
    args: &PeopleImport,
) -> Result<Found, Failure> {
    let mut problem = Ok(());
    let mut archive = session.write_or_create()?;
    let done = import_people(
        &mut archive,
        catalogue,
        &args.file,
        today(),
        args.force,
        |o| {
            problem = reading::apply(o, &args.reading);
        },
    );
    problem?;
    let done = done?;
    let words = format!(
        "{} people taken ({} new, {} known already)",
        done.common.accepted, done.new, done.known
    );
    finish(
        session,
        &done.common,
        &words,
        &[],
        json!({ "new": done.new, "known": done.known }),
    )
}

/// Imports a sheet of results.
pub fn results(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &ResultsImport,
) -> Result<Found, Failure> {
    let test = super::known_test(catalogue, &args.test)?;
    let on = args.on.as_deref().map(reading::date).transpose()?;
    let card = match (&args.day_card, on) {
        (None, _) => None,
        (Some(_), None) => {
            return Err(Failure::new("a day card needs the day it is for").hint("add --on DATE"));
        }
        (Some(path), Some(on)) => {
            let text = places::read_small(path)?;
            Some(day_card(&path.display().to_string(), &text, on, test).map_err(Failure::new)?)
        }
    };
    let order = ResultsOrder {
        test,
        on,
        today: today(),
        card,
        add_people: args.add_people,
        held_only: args.held_only,
        force: args.force,
        rulings: args
            .settle
            .iter()
            .map(|w| ruling(w))
            .collect::<Result<_, _>>()?,
    };
    // Options that cannot be read must stop the command before anything is written.
    reading::apply(&mut Options::new(catalogue), &args.reading)?;
    let mut archive = session.write_or_create()?;
    let done = import_results(&mut archive, catalogue, &args.file, &order, |o| {
        let _ = reading::apply(o, &args.reading);
    })?;
    let mut words = format!("{} results taken", done.common.accepted);
    if done.new_people > 0 {
        words.push_str(&format!(", {} people recorded as new", done.new_people));
    }
    if done.absent > 0 {
        words.push_str(&format!(", {} rows without a result", done.absent));
    }
    let slipped = match done.common.change {
        None => Vec::new(),
        Some(change) => {
            sheets_of_changes(&archive, catalogue, facts, change).map_err(Failure::new)?
        }
    };
    finish(
        session,
        &done.common,
        &words,
        &slipped,
        json!({ "new_people": done.new_people, "absent": done.absent, "slipped": slipped }),
    )
}

/// Returns the ruling written as ROW=LABEL.
fn ruling(written: &str) -> Result<Ruling, Failure> {
    let bad = || {
        Failure::new(format!("--settle {written}: not a ruling"))
            .hint("write ROW=LABEL, such as 7=16.3")
    };
    let (row, label) = written.split_once('=').ok_or_else(bad)?;
    Ok(Ruling {
        row: row.trim().parse().map_err(|_| bad())?,
        label: label.trim().to_owned(),
    })
}

/// Returns a correction in words.
pub fn correction(c: &Correction) -> String {
    format!(
        "row {}, column `{}`: {} became {} (rule {})",
        c.row,
        c.column,
        c.before,
        c.after,
        c.rule.as_str()
    )
}

/// Prints what was taken and what is held.
fn finish(
    session: &Session,
    common: &Common,
    words: &str,
    slipped: &[SheetRead],
    more: Value,
) -> Result<Found, Failure> {
    // A finding about a row that was taken in the end, or settled by a ruling, is settled.
    let to_look_at = common.report.findings.iter().any(|f| !f.code.holds());
    let found = Found::any(!common.held.is_empty() || to_look_at || !slipped.is_empty());
    if session.json {
        let held: Vec<Value> = common
            .held
            .iter()
            .map(|h| {
                json!({
                    "row": h.row, "column": h.column, "code": h.code, "found": h.found,
                    "why": h.why, "suggestion": h.suggestion,
                })
            })
            .collect();
        let mut document = json!({
            "accepted": common.accepted,
            "held": held,
            "findings": examine::findings_json(&common.report)?,
            "corrections": common.report.corrections,
            "change": common.change,
        });
        if let (Some(document), Some(more)) = (document.as_object_mut(), more.as_object()) {
            document.extend(more.clone());
        }
        print::json(&document)?;
        return Ok(found);
    }
    let undo = common.change.map_or_else(String::new, |c| {
        format!("; `plimsoll archive undo {c}` takes it back")
    });
    print::text(format!(
        "{words}, {} rows held back{undo}",
        common.held.len()
    ))?;
    for line in common.held.iter().flat_map(|h| h.in_words()) {
        print::text(print::hanging(&line, 100))?;
    }
    for c in &common.report.corrections {
        print::text(format!("corrected: {}", correction(c)))?;
    }
    let remarks: Vec<_> = common
        .report
        .findings
        .iter()
        .filter(|f| !f.code.holds())
        .collect();
    if !remarks.is_empty() || !slipped.is_empty() {
        print::text("to look at (nothing was held for it):")?;
    }
    for f in remarks {
        print::text(format!("· {}", f.message))?;
    }
    for sheet in slipped {
        let look = "Hold the paper beside the list; `plimsoll squad --day DAY` says more";
        print::text(print::hanging(&format!("· {} {look}.", sheet.words), 100))?;
    }
    Ok(found)
}
