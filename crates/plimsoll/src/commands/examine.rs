//! `plimsoll examine FILE`: the import doctor as a dry run.

use plimsoll_archive::Archive;
use plimsoll_desk::import::{examine, known};
use plimsoll_examine::{LadderVerdict, Options, Report, Rule};
use plimsoll_ladder::Catalogue;
use serde_json::{Value, json};

use super::reading;
use crate::cli::Examine;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, Align};
use crate::world::today;

/// Examines a sheet and prints what is wrong with it.
pub fn run(session: &Session, catalogue: &Catalogue, args: &Examine) -> Result<Found, Failure> {
    let Some(file) = args.file.as_ref().filter(|_| !args.rules) else {
        return rules(session.json);
    };
    let mut options = Options::new(catalogue);
    options.test.clone_from(&args.test);
    if let Some(id) = &args.test {
        super::known_test(catalogue, id)?;
    }
    let day = args.on.as_deref().map(reading::date).transpose()?;
    // An archive that is there helps to know people and their history; none is needed.
    if let Ok(archive) = Archive::open_reader(session.folder()?) {
        options.context = known(&archive, args.test.as_deref(), today(), day)?;
    }
    options.context.today = Some(today());
    options.context.day = day;
    reading::apply(&mut options, &args.reading)?;
    let report = examine(file, &options)?.report;
    if session.json {
        print::json(&serde_json::to_value(&report).map_err(Failure::new)?)?;
    } else {
        words(&report)?;
    }
    Ok(Found::any(!report.findings.is_empty()))
}

fn rules(as_json: bool) -> Result<Found, Failure> {
    let names: Vec<&str> = Rule::ALL.iter().map(|r| r.as_str()).collect();
    if as_json {
        print::json(&json!(names))?;
    } else {
        print::text(format!(
            "corrections that --allow can turn on: {}",
            names.join(", ")
        ))?;
    }
    Ok(Found::Nothing)
}

/// Prints the report for a person: the mapping, the ladder, the findings worst first.
pub fn words(report: &Report) -> Result<(), Failure> {
    let sniffed: Vec<&str> = [
        Some(report.file.format),
        report.file.encoding,
        report.file.separator,
    ]
    .into_iter()
    .flatten()
    .collect();
    print::text(format!(
        "{}: {} rows of data ({})",
        report.file.name,
        report.rows,
        sniffed.join(", ")
    ))?;
    let columns: Vec<String> = report
        .columns
        .iter()
        .map(|c| match c.field {
            Some(field) => format!("{} → {}", c.header, field.as_str()),
            None => format!("{} → (left out)", c.header),
        })
        .collect();
    print::text(format!("columns: {}", columns.join("; ")))?;
    for group in &report.ladder_verdict {
        print::text(format!("ladder: {}", verdict(&group.verdict)))?;
    }
    let likely: Vec<String> = report
        .ladders
        .iter()
        .take(4)
        .map(|l| format!("{} {:.1} %", l.id, l.posterior * 100.0))
        .collect();
    if !likely.is_empty() {
        print::text(format!("        {}", likely.join(", ")))?;
    }
    findings(report)
}

/// Returns which test the rows are from, in words.
fn verdict(verdict: &LadderVerdict) -> String {
    match verdict {
        LadderVerdict::Identified { id, posterior } => {
            format!("the rows are from `{id}` ({:.1} %)", posterior * 100.0)
        }
        LadderVerdict::Shared { ids, posterior } => format!(
            "the rows are from one of {}, which these rows cannot tell apart ({:.1} % together)",
            ids.join(", "),
            posterior * 100.0
        ),
        LadderVerdict::Switch {
            from,
            to,
            row,
            row_posterior,
        } => format!(
            "the rows change from `{from}` to `{to}` at row {row} ({:.0} % for exactly that row)",
            row_posterior * 100.0
        ),
        LadderVerdict::CannotTell { why, compatible } if compatible.is_empty() => {
            format!("cannot tell: {why}")
        }
        LadderVerdict::CannotTell { why, compatible } => {
            format!(
                "cannot tell: {why}; not excluded: {}",
                compatible.join(", ")
            )
        }
        LadderVerdict::NoneFits { nearest, explained } => format!(
            "no known ladder fits; `{nearest}` comes nearest and explains {:.0} % of the rows",
            explained * 100.0
        ),
    }
}

/// Prints the findings.
fn findings(report: &Report) -> Result<(), Failure> {
    if report.findings.is_empty() {
        return print::text("nothing to settle");
    }
    let head = [
        ("row", Align::Right),
        ("column", Align::Left),
        ("fault", Align::Left),
        ("found", Align::Left),
    ];
    let rows: Vec<Vec<String>> = report
        .findings
        .iter()
        .map(|f| {
            vec![
                f.row.to_string(),
                f.column.clone(),
                f.code.as_str().to_owned(),
                f.found.clone(),
            ]
        })
        .collect();
    print::text(format!("\n{}", print::table(&head, &rows)))?;
    print::text("")?;
    for f in &report.findings {
        print::text(format!("· {}", f.message))?;
    }
    for (code, n) in &report.more_findings {
        print::text(format!("· and {n} more of the kind {code}"))?;
    }
    Ok(())
}

/// Returns the findings of a report for programs.
pub fn findings_json(report: &Report) -> Result<Value, Failure> {
    serde_json::to_value(&report.findings).map_err(Failure::new)
}
