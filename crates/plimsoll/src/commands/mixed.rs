//! `plimsoll mixed`: whose the scatter is, with what is allowed for and what is expected.

use plimsoll_desk::mixed::{
    Ask, GroupAsk, MixedAnswer, MixedError, Predictions, answer, archive_answer, archive_table,
    document, figure, fixed_rows, part_rows, predictions, read_mixed, record, verdict,
};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_report::format::number;
use serde_json::json;

use super::study::{file_name, read_bytes};
use crate::cli::Mixed;
use crate::failure::{Failure, Found};
use crate::places::{Session, write_whole};
use crate::print::{self, Align};

/// Width of sentences.
const WIDE: usize = 96;
/// Most rows of levels and of predictions in words; the document has all.
const SHOWN: usize = 40;

/// Prints the model; nothing is written but the figure that is asked for.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Mixed,
) -> Result<Found, Failure> {
    let ask = ask(args)?;
    let found = match (&args.file, &args.test) {
        (Some(file), _) => {
            let table = read_mixed(&file_name(file), &read_bytes(file)?, args.sheet.as_deref());
            answer(table.map_err(failure)?, &ask).map_err(failure)?
        }
        (None, Some(id)) => {
            let test = super::known_test(catalogue, id)?;
            let archive = session.read()?;
            let rows = archive_table(&archive, test, facts.scale(test.id())).map_err(failure)?;
            archive_answer(test, &rows, &ask).map_err(failure)?
        }
        (None, None) => {
            return Err(
                Failure::new("a mixed model needs a file, or --test for the archive")
                    .hint("see `plimsoll mixed --help`"),
            );
        }
    };
    let expected = match &args.predict {
        None => None,
        Some(file) => {
            let table = read_mixed(&file_name(file), &read_bytes(file)?, None).map_err(failure)?;
            Some(predictions(&found, &table).map_err(failure)?)
        }
    };
    if let Some(path) = &args.figure {
        write_whole(path, figure(&found).svg.as_bytes())?;
    }
    if session.json {
        let mut whole = document(&found, expected.as_ref());
        if let Some(path) = &args.figure {
            whole["files"] = json!([path]);
        }
        print::json(&whole)?;
    } else {
        print::text(words(&found, expected.as_ref()))?;
        if let Some(path) = &args.figure {
            print::text(format!("\nthe figure is in {}", path.display()))?;
        }
    }
    Ok(Found::any(!found.fit.convergence.converged))
}

fn ask(args: &Mixed) -> Result<Ask, Failure> {
    let level = if args.level > 1.0 {
        args.level / 100.0
    } else {
        args.level
    };
    if !(0.5..=0.999).contains(&level) {
        return Err(Failure::new(format!(
            "--level is {}; allowed is 0.5 to 0.999, or 50 to 99.9 %",
            args.level
        ))
        .hint("write 0.9 or 90 for 90 %"));
    }
    let groups: Result<Vec<GroupAsk>, MixedError> = args.group.iter().map(|g| g.parse()).collect();
    if args.file.is_some() && args.group.is_empty() {
        return Err(Failure::new(
            "a mixed model of a sheet needs a group: the column that says whose a row is",
        )
        .hint("for example --group athlete; see `plimsoll mixed --help`"));
    }
    Ok(Ask {
        fixed: args.fixed.clone(),
        factors: args.factor.clone(),
        groups: groups.map_err(failure)?,
        error: args.weights_from_error.clone(),
        log: args.log || (args.test.is_some() && !args.raw),
        ml: args.ml,
        level,
        profile: args.profile,
        ..Ask::about(args.outcome.as_deref().unwrap_or_default())
    })
}

/// Words a refusal; every one of them is a matter of the input.
fn failure(error: MixedError) -> Failure {
    let hint = match &error {
        MixedError::Cells { faults, .. }
            if faults.iter().any(|f| f.allowed.contains("categories")) =>
        {
            Some("a column of words among the fixed ones is named with --factor COLUMN")
        }
        MixedError::Group { .. } => Some("give --group once for each group"),
        MixedError::NoColumn { .. } => {
            Some("--outcome, --fixed, --factor and --group name columns of the rows")
        }
        MixedError::TooLittle { .. } => Some(
            "a repeat of a maximal test is a maximal test: see `plimsoll cautions`, with an easier form \
             open to anyone; `plimsoll mixed FILE --outcome COLUMN --group COLUMN` reads a sheet",
        ),
        _ => None,
    };
    let failure = Failure::new(error);
    match hint {
        Some(hint) => failure.hint(hint),
        None => failure,
    }
}

fn words(found: &MixedAnswer, expected: Option<&Predictions>) -> String {
    let mut out: Vec<String> = verdict(found)
        .iter()
        .map(|w| print::wrapped(w, WIDE))
        .collect();
    let right = |text: &'static str| (text, Align::Right);
    let head = [
        ("whose scatter", Align::Left),
        right("SD"),
        ("interval", Align::Left),
        right("share"),
    ];
    let rows: Vec<Vec<String>> = part_rows(found).into_iter().map(Vec::from).collect();
    out.push(format!("\n{}", print::table(&head, &rows)));
    let head = [
        ("fixed column", Align::Left),
        right("estimate"),
        right("SE"),
        right("df"),
        ("interval", Align::Left),
    ];
    let rows: Vec<Vec<String>> = fixed_rows(found).into_iter().map(Vec::from).collect();
    out.push(format!("\n{}", print::table(&head, &rows)));
    out.push(format!("\n{}", levels(found)));
    if let Some(expected) = expected {
        out.push(format!("\n{}", expectations(found, expected)));
    }
    out.push(String::new());
    let notes = record(found).into_iter().chain(found.notes.iter().cloned());
    out.extend(notes.map(|n| print::hanging(&format!("· {n}"), WIDE)));
    out.join("\n")
}

/// Returns as many decimals as show a size with two digits.
fn places(size: f64) -> usize {
    if size.is_finite() && size > 0.0 {
        (1.0 - size.log10().floor()).clamp(0.0, 6.0) as usize
    } else {
        1
    }
}

fn levels(found: &MixedAnswer) -> String {
    let mut tables = Vec::new();
    let log = found.ask.log;
    let show = |v: f64| if log { 100.0 * v.exp_m1() } else { v };
    let unit = if log { "%" } else { found.unit.as_str() };
    let unit = if unit.is_empty() {
        String::new()
    } else {
        format!(" ({unit})")
    };
    for (term, labels) in found.fit.terms.iter().zip(&found.levels) {
        let mut head = vec![(term.name.clone(), Align::Left)];
        for (at, column) in term.columns.iter().enumerate() {
            let what = if at == 0 {
                format!("deviation{unit}")
            } else {
                format!("in {}", column.name)
            };
            head.extend([(what, Align::Right), ("its SD".to_owned(), Align::Right)]);
        }
        let rows = labels.iter().take(SHOWN).enumerate().map(|(level, label)| {
            let mut row = vec![label.clone()];
            for (value, sd) in term.effects[level].iter().zip(&term.conditional_sds[level]) {
                let size = show(*sd);
                row.push(plimsoll_report::format::signed(show(*value), places(size)));
                row.push(number(size, places(size)));
            }
            row
        });
        let rows: Vec<Vec<String>> = rows.collect();
        let head: Vec<(&str, Align)> = head.iter().map(|(t, a)| (t.as_str(), *a)).collect();
        let mut text = print::table(&head, &rows);
        if labels.len() > SHOWN {
            text += &format!("\n… {} more levels; --json lists all", labels.len() - SHOWN);
        }
        tables.push(text);
    }
    tables.push("Deviations are from the typical level and are drawn towards it; no order within their SDs.".to_owned());
    tables.join("\n\n")
}

fn expectations(found: &MixedAnswer, expected: &Predictions) -> String {
    let size = expected
        .rows
        .iter()
        .filter_map(|r| r.interval.as_ref().ok().map(|i| i.half_width()))
        .fold(0.0, f64::max);
    let shown = |v: f64| number(v, places(size / 2.0));
    let head = [
        ("row", Align::Right),
        ("levels", Align::Left),
        ("expected", Align::Right),
        ("typical", Align::Right),
        ("interval of typical", Align::Left),
        ("a new level's reading", Align::Left),
        ("remark", Align::Left),
    ];
    let rows: Vec<Vec<String>> = expected
        .rows
        .iter()
        .take(SHOWN)
        .map(|r| {
            let remark = if r.unknown.is_empty() {
                String::new()
            } else {
                format!("unknown {}: typical", r.unknown.join(", "))
            };
            vec![
                r.row.to_string(),
                r.levels.join(", "),
                shown(r.expected),
                shown(r.typical),
                r.interval.as_ref().map_or("none".to_owned(), |i| {
                    format!("{} to {}", shown(i.lower), shown(i.upper))
                }),
                r.new_reading.map_or("errors known by row".to_owned(), |i| {
                    format!("{} to {}", shown(i.lower), shown(i.upper))
                }),
                remark,
            ]
        })
        .collect();
    let mut text = print::table(&head, &rows);
    if expected.rows.len() > SHOWN {
        text += &format!(
            "\n… {} more rows; --json lists all",
            expected.rows.len() - SHOWN
        );
    }
    if !expected.dropped.is_empty() {
        let names: Vec<&str> = expected.dropped.iter().map(|d| d.name.as_str()).collect();
        text += &format!("\nnot predicted, a value is missing: {}", names.join(", "));
    }
    if !found.unit.is_empty() {
        text += &format!("\nvalues in {}", found.unit);
    }
    text
}
