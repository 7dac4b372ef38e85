//! `plimsoll demo`: the whole job on an invented club, from a roster to the coach's pages.

use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use jiff::civil::Date;
use plimsoll_archive::{Archive, Writer};
use plimsoll_desk::import::{HeldLine, ResultsImport, ResultsOrder, import_people, import_results};
use plimsoll_desk::{Choices, DayCard, day_card};
use plimsoll_examine::{Options, Rule};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::{Catalogue, Test};
use rust_embed::Embed;
use serde_json::{Value, json};

use super::{demo_day, demo_sound, report};
use crate::cli::Demo;
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print;
use crate::world::Machine;

/// The invented club, compiled in.
#[derive(Embed)]
#[folder = "../../demo"]
struct Club;

/// Marks a folder as the demo's own, so that it may be made anew.
const MARK: &str = "made-by-plimsoll-demo.txt";
/// The test every sheet of the club says it is.
const TEST: &str = "ir1";
/// The test that was really played on one of its days, as the examination finds out.
const OTHER_TEST: &str = "ir2";

/// What one step of the demo said.
struct Step {
    title: String,
    lines: Vec<String>,
}

/// Runs the demo.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Demo,
) -> Result<Found, Failure> {
    let out = &args.out;
    prepare(out)?;
    let sheets = unpack(out)?;
    let bar = progress(session.json, sheets.days.len() as u64 + 5);
    let mut steps = Vec::new();
    let mut archive = Archive::create(out, Machine::acting_as(Some("demo lead")))?;

    bar.set_message("people");
    steps.push(roster(&mut archive, catalogue, &sheets)?);
    bar.inc(1);
    let mut past = Vec::new();
    for sheet in &sheets.days {
        bar.set_message(format!("results of {}", sheet.on));
        past.extend(past_day(&mut archive, catalogue, sheet)?);
        bar.inc(1);
    }
    steps.push(Step {
        title: "Three seasons of old sheets".to_owned(),
        lines: past,
    });
    bar.set_message("today's sheet");
    let test = super::known_test(catalogue, TEST)?;
    let done = import(&mut archive, catalogue, &sheets.today, test)?;
    steps.push(Step {
        title: format!("Today's sheet, {}", sheets.today.on),
        lines: today_lines(&done),
    });
    bar.inc(1);
    let day = archive
        .days()?
        .into_iter()
        .find(|d| d.facts.date == sheets.today.on)
        .ok_or_else(|| Failure::new("today's sheet left no test day"))?;
    bar.set_message("track and recording");
    steps.push(Step {
        title: "The sound of the day".to_owned(),
        lines: demo_sound::step(&mut archive, catalogue, &day, test, out)?,
    });
    bar.inc(1);
    bar.set_message("pages, workbook, tables");
    let written = report::write(
        &archive,
        catalogue,
        facts,
        &day,
        &Choices {
            standard: Some("soccer".to_owned()),
            ..Choices::default()
        },
        &out.join("report"),
        &[],
    )?;
    bar.inc(1);
    bar.set_message("a live day");
    steps.push(Step {
        title: "A day judged on phones".to_owned(),
        lines: demo_day::step(&mut archive, catalogue, &day, test)?,
    });
    bar.finish_and_clear();
    if session.json {
        let steps: Vec<Value> = steps
            .iter()
            .map(|s| json!({ "step": s.title, "said": s.lines }))
            .collect();
        print::json(&json!({
            "steps": steps,
            "lead": written.lead,
            "files": written.files.iter().map(|f| f.display().to_string()).collect::<Vec<_>>(),
            "archive": out.display().to_string(),
        }))?;
        return Ok(Found::Nothing);
    }
    for step in &steps {
        print::text(format!(
            "{}\n{}",
            step.title,
            "─".repeat(step.title.chars().count())
        ))?;
        for line in &step.lines {
            print::text(print::hanging(line, 96))?;
        }
        print::text("")?;
    }
    print::text("To read aloud\n─────────────")?;
    print::text(print::wrapped(&written.lead, 88))?;
    print::text(format!(
        "\nWritten ({} pages for the coach):",
        written.pages
    ))?;
    for file in &written.files {
        print::text(format!("  {}", file.display()))?;
    }
    for warning in &written.warnings {
        print::text(format!("  note: {warning}"))?;
    }
    let folder = out.display();
    print::text(format!(
        "\nThe archive is in {folder}. Try\n\
         \x20 plimsoll --archive {folder} results --day {}\n\
         \x20 plimsoll --archive {folder} archive held\n\
         \x20 plimsoll --archive {folder} serve\n\
         All people, places and results are invented. A maximal test is not for everyone every day: \
         `plimsoll cautions`.",
        sheets.today.on
    ))?;
    Ok(Found::Nothing)
}

/// Makes the folder ready: new, or the demo's own from before.
fn prepare(out: &Path) -> Result<(), Failure> {
    if out.join(MARK).is_file() {
        std::fs::remove_dir_all(out)
            .map_err(|e| Failure::new(format!("{}: {e}", out.display())))?;
    }
    let taken = out.is_dir() && std::fs::read_dir(out).is_ok_and(|mut d| d.next().is_some());
    if taken || out.is_file() {
        return Err(Failure::new(format!(
            "{} is already there and is not the demo's",
            out.display()
        ))
        .hint("name another folder with --out DIR"));
    }
    places::make_folder(out)?;
    places::write_whole(
        &out.join(MARK),
        b"`plimsoll demo` made this folder and makes it anew each time.\n",
    )
}

/// A sheet of the club with its day card.
struct Sheet {
    on: Date,
    path: PathBuf,
    card: Option<(String, String)>,
}

/// The club's sheets, on disk.
struct Sheets {
    roster: PathBuf,
    days: Vec<Sheet>,
    today: Sheet,
}

/// Writes the club's sheets to disk, as a person would have them.
fn unpack(out: &Path) -> Result<Sheets, Failure> {
    let folder = out.join("sheets");
    let mut names: Vec<String> = Club::iter().map(|n| n.to_string()).collect();
    names.sort();
    for name in &names {
        let Some(file) = Club::get(name) else {
            continue;
        };
        let path = folder.join(name);
        if let Some(parent) = path.parent() {
            places::make_folder(parent)?;
        }
        places::write_whole(&path, &file.data)?;
    }
    let sheet = |name: &str, on: &str| -> Result<Sheet, Failure> {
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        let card_name = format!("{stem}.toml");
        let card = Club::get(&card_name)
            .map(|f| (card_name, String::from_utf8_lossy(&f.data).into_owned()));
        Ok(Sheet {
            on: super::reading::date(on)?,
            path: folder.join(name),
            card,
        })
    };
    let mut days = Vec::new();
    for name in names
        .iter()
        .filter(|n| n.starts_with("days/") && !n.ends_with(".toml"))
    {
        let on = name.get(5..15).unwrap_or("");
        days.push(sheet(name, on)?);
    }
    days.sort_by_key(|d| d.on);
    Ok(Sheets {
        roster: folder.join("roster.csv"),
        days,
        today: sheet("today.csv", TODAY)?,
    })
}

/// The day of the club's last sheet.
const TODAY: &str = "2026-11-21";

/// Shows progress on a terminal, and nothing elsewhere.
fn progress(quiet: bool, steps: u64) -> ProgressBar {
    if quiet {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{bar:24} {pos}/{len} {msg}");
    let bar = ProgressBar::new(steps);
    bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

/// Looks at the roster first, then takes it with the one correction the lead agrees to.
fn roster(archive: &mut Writer, catalogue: &Catalogue, sheets: &Sheets) -> Result<Step, Failure> {
    let today = sheets.today.on;
    let mut options = Options::new(catalogue);
    options.context.today = Some(today);
    let looked = plimsoll_desk::import::examine(&sheets.roster, &options)?;
    let mut lines: Vec<String> = looked
        .report
        .findings
        .iter()
        .map(|f| format!("· {}", f.message))
        .collect();
    let done = import_people(archive, catalogue, &sheets.roster, today, false, |o| {
        o.rules.insert(Rule::SwapDayAndMonth);
    })?;
    let agreed = done
        .common
        .report
        .corrections
        .iter()
        .map(super::import::correction);
    lines.extend(agreed.map(|c| format!("  the lead agrees: {c}")));
    lines.push(format!(
        "{} people taken, {} rows held back (nobody is merged by likeness; if they are one \
         person, `plimsoll people alias`)",
        done.common.accepted,
        done.common.held.len()
    ));
    Ok(Step {
        title: "The roster".to_owned(),
        lines,
    })
}

fn import(
    archive: &mut Writer,
    catalogue: &Catalogue,
    sheet: &Sheet,
    test: &Test,
) -> Result<ResultsImport, Failure> {
    let card: Option<DayCard> = match &sheet.card {
        None => None,
        Some((name, text)) => {
            // The card of the day with the other track still says what was planned.
            let planned = text.replace(
                &format!("test = \"{TEST}\""),
                &format!("test = \"{}\"", test.id()),
            );
            Some(day_card(name, &planned, sheet.on, test).map_err(Failure::new)?)
        }
    };
    let order = ResultsOrder {
        test,
        on: Some(sheet.on),
        today: sheet.on,
        card,
        add_people: false,
        held_only: false,
        force: false,
        rulings: Vec::new(),
    };
    Ok(import_results(
        archive,
        catalogue,
        &sheet.path,
        &order,
        |_: &mut Options<'_>| {},
    )?)
}

/// Imports a past day; where the sheet is from the other ladder, says so and takes it as that.
fn past_day(
    archive: &mut Writer,
    catalogue: &Catalogue,
    sheet: &Sheet,
) -> Result<Vec<String>, Failure> {
    let test = super::known_test(catalogue, TEST)?;
    let options = Options::new(catalogue).with_test(TEST);
    let looked = plimsoll_desk::import::examine(&sheet.path, &options).map_err(Failure::new)?;
    let other = looked
        .report
        .ladders
        .first()
        .filter(|l| l.id == OTHER_TEST && l.posterior > 0.9);
    let mut lines = Vec::new();
    let done = match other {
        Some(found) => {
            lines.push(format!(
                "{}: filed as {TEST}, but label and distance fit `{}` ({:.0} %); the lead agrees, \
                 so it is taken as that and not compared with {TEST}",
                sheet.on,
                found.id,
                found.posterior * 100.0
            ));
            import(
                archive,
                catalogue,
                sheet,
                super::known_test(catalogue, OTHER_TEST)?,
            )?
        }
        None => import(archive, catalogue, sheet, test)?,
    };
    lines.push(format!(
        "{}: {} results taken, {} rows held back",
        sheet.on,
        done.common.accepted,
        done.common.held.len()
    ));
    lines.extend(held_lines(&done.common.held));
    lines.extend(looked_at(&done));
    Ok(lines)
}

fn today_lines(done: &ResultsImport) -> Vec<String> {
    let mut lines = vec![format!(
        "{} results taken, {} rows held back",
        done.common.accepted,
        done.common.held.len()
    )];
    lines.extend(held_lines(&done.common.held));
    lines.extend(looked_at(done));
    lines
}

fn held_lines(held: &[HeldLine]) -> Vec<String> {
    held.iter().flat_map(HeldLine::in_words).collect()
}

/// Returns what was found and held nothing.
fn looked_at(done: &ResultsImport) -> Vec<String> {
    done.common
        .report
        .findings
        .iter()
        .filter(|f| !f.code.holds())
        .map(|f| format!("· to look at: {}", f.message))
        .collect()
}
