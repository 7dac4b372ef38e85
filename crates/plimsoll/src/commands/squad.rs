//! `plimsoll squad`: a cut, the lowest, the rows of the sheet, effort and assessors of one day.

use plimsoll_desk::Choices;
use plimsoll_desk::squad::{Answers, Ask, Section, SquadError, answers, figure};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_report::Cautions;
use plimsoll_report::format::percent;

use super::reading;
use crate::cli::{Judging, Squad};
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print::{self, Align, short};

const WIDTH: usize = 92;

/// Answers for a day of the archive.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Squad,
) -> Result<Found, Failure> {
    let judged = reading::judging(&Judging {
        typical_error: args.typical_error.clone(),
        swc: None,
        level: args.level.clone(),
        from_memory: args.from_memory,
    })?;
    let choices = Choices {
        error: judged.error,
        level: judged.level,
        from_memory: args.from_memory,
        ..Choices::default()
    };
    let ask = Ask {
        cut: args.cut.clone(),
        best_of: Some(args.best_of),
        lowest: args.lowest,
    };
    let archive = session.read()?;
    let day = reading::the_day(&archive, &args.day)?;
    let found =
        answers(&archive, catalogue, facts, &day, &choices, &ask).map_err(|fault| match fault {
            SquadError::Cut(fault) => Failure::new(format!("--cut: {fault}"))
                .hint("`plimsoll ladder ID` lists the labels with their metres"),
            SquadError::Lowest { .. } => Failure::new(format!("--lowest: {fault}")),
            fault => Failure::new(fault),
        })?;
    if let Some(out) = &args.out {
        let cut = found.cut.as_ref().and_then(|part| part.answer.as_ref());
        let drawn = cut.and_then(figure).ok_or_else(|| {
            Failure::new("there is no answer at the cut to draw")
                .hint("leave out --out to read why")
        })?;
        places::write_whole(out, drawn.svg.as_bytes())?;
    }
    if session.json {
        let mut document = serde_json::to_value(&found).map_err(Failure::new)?;
        document["cautions"] = Cautions::default().short.into();
        print::json(&document)?;
    } else {
        words(&found)?;
    }
    Ok(Found::any(found.to_settle()))
}

fn words(found: &Answers) -> Result<(), Failure> {
    print::text(format!(
        "{}, {}: {} people with a result",
        found.date, found.test, found.people
    ))?;
    match found.cut_section() {
        Some(cut) => {
            section(&cut, &cut_table(found))?;
        }
        None => print::text("\nNo cut was asked about; add --cut LABEL or --cut METRES.")?,
    }
    section(&found.lowest_section(), &lowest_table(found))?;
    for other in found.other_sections() {
        section(&other, "")?;
    }
    let cautions = Cautions::default().short;
    print::text("")?;
    print::text(print::wrapped(
        &format!(
            "Cautions. Another test is a maximal test. {cautions} The easier form is open to anyone. \
             `plimsoll cautions` prints them all."
        ),
        WIDTH,
    ))
}

fn section(section: &Section<'_>, table: &str) -> Result<(), Failure> {
    let line = "─".repeat(section.title.chars().count());
    print::text(format!("\n{}\n{line}", section.title))?;
    for sentence in section.says {
        print::text(print::hanging(&format!("· {sentence}"), WIDTH))?;
    }
    if !table.is_empty() {
        print::text(format!("\n{}\n", table.trim_end()))?;
    }
    print::text(print::hanging(
        &format!("  basis: {}", section.basis),
        WIDTH,
    ))?;
    print::text(print::hanging(
        &format!("  what would settle it: {}", section.settle),
        WIDTH,
    ))
}

fn cut_table(found: &Answers) -> String {
    let Some(cut) = found.cut.as_ref().and_then(|part| part.answer.as_ref()) else {
        return String::new();
    };
    let head = [
        ("name", Align::Left),
        (cut.unit, Align::Right),
        ("label", Align::Right),
        ("result", Align::Left),
        ("level at the cut or above", Align::Right),
    ];
    let rows: Vec<Vec<String>> = cut
        .people
        .iter()
        .map(|p| {
            vec![
                p.name.clone(),
                format!("{}{}", if p.bound { "≥ " } else { "" }, short(p.result, 1)),
                p.label.clone().unwrap_or_default(),
                match (p.passes, p.bound) {
                    (true, _) => "reaches",
                    (false, true) => "cut short",
                    (false, false) => "below",
                }
                .to_owned(),
                p.p_above.map_or_else(|| "not known".to_owned(), percent),
            ]
        })
        .collect();
    print::table(&head, &rows)
}

fn lowest_table(found: &Answers) -> String {
    let Some(lowest) = &found.lowest.answer else {
        return String::new();
    };
    let head = [
        ("name", Align::Left),
        (found.unit, Align::Right),
        ("label", Align::Right),
        ("next time", Align::Right),
        ("90 % from", Align::Right),
        ("to", Align::Right),
    ];
    let rows: Vec<Vec<String>> = lowest
        .people
        .iter()
        .map(|p| {
            vec![
                p.name.clone(),
                short(p.result, 1),
                p.label.clone().unwrap_or_default(),
                short(p.expected_next, 0),
                short(p.low90, 0),
                short(p.high90, 0),
            ]
        })
        .collect();
    print::table(&head, &rows)
}
