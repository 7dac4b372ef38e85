//! `plimsoll study`: what error to use, what change it detects, whether trial 1 is practice.

use std::path::{Path, PathBuf};

use plimsoll_desk::study::{
    Ask, OnScale, StudyAnswer, StudyError, StudyTable, answer, document, figures, read_study,
    repeats, rows, verdict,
};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::{Catalogue, Test};
use serde_json::json;

use super::plan;
use crate::cli::Study;
use crate::failure::{Failure, Found};
use crate::places::{Session, make_folder, write_whole};
use crate::print::{self, Align};

/// Largest sheet, bytes.
const LARGEST: u64 = 64 << 20;

/// Prints the study; nothing is written but what --out asks for.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Study,
) -> Result<Found, Failure> {
    let level = level(args.level)?;
    let test = args
        .test
        .as_deref()
        .map(|id| super::known_test(catalogue, id))
        .transpose()?;
    let scale = test.and_then(|t| facts.scale(t.id()));
    let table: StudyTable = match (&args.file, test) {
        (Some(file), test) => {
            let bytes = read_bytes(file)?;
            read_study(
                &file_name(file),
                &bytes,
                args.sheet.as_deref(),
                test.map(|t| (t, scale)),
            )
            .map_err(failure)?
        }
        (None, Some(test)) => repeats(&session.read()?, test, scale, args.within_weeks)
            .map_err(|error| too_few(error, catalogue, test))?,
        (None, None) => {
            return Err(
                Failure::new("a study needs a file, or --test for the archive")
                    .hint("see `plimsoll study --help`"),
            );
        }
    };
    if let Some(age) = args.age.filter(|age| !(0.0..=120.0).contains(age)) {
        return Err(Failure::new(format!("--age is {age}")).hint("write years, 0 to 120"));
    }
    let ask = Ask {
        level,
        scale: match (args.logs, args.raw) {
            (true, _) => Some(OnScale::Logs),
            (_, true) => Some(OnScale::Raw),
            _ => None,
        },
        test: test.map(Test::id),
        age: args.age,
    };
    let answer = answer(facts, table, &ask).map_err(failure)?;
    let mut whole = document(&answer);
    if let Some(folder) = &args.out {
        let written = write(&answer, &whole, folder)?;
        whole["files"] = json!(written);
    }
    if session.json {
        print::json(&whole)?;
    } else {
        say(&answer, catalogue, test)?;
        if let Some(folder) = &args.out {
            print::text(format!(
                "\nfigures and document are in {}",
                folder.display()
            ))?;
        }
    }
    Ok(Found::Nothing)
}

fn level(percent: f64) -> Result<f64, Failure> {
    if (50.0..=99.9).contains(&percent) {
        return Ok(percent / 100.0);
    }
    Err(
        Failure::new(format!("--level is {percent}; allowed is 50 to 99.9 %"))
            .hint("write 90 for 90 %"),
    )
}

/// Returns the name of a file for messages.
pub fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}

/// Reads a sheet of at most 64 MB.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Failure> {
    let at = |e: String| Failure::new(format!("{}: {e}", path.display()));
    let size = std::fs::metadata(path)
        .map_err(|e| at(e.to_string()))?
        .len();
    if size > LARGEST {
        return Err(
            at(format!("{size} bytes; allowed are {LARGEST}")).hint("is this the right file?")
        );
    }
    std::fs::read(path).map_err(|e| at(e.to_string()))
}

/// Words a refusal; every one of them is a matter of the input.
pub fn failure(error: StudyError) -> Failure {
    let hint = match &error {
        StudyError::Labels { .. } => Some("name the test with --test ID"),
        StudyError::Columns { .. } | StudyError::Examine(_) => Some(
            "the first row names the columns, such as `name, trial 1, trial 2` or `person, trial, value`",
        ),
        _ => None,
    };
    let failure = Failure::new(error);
    match hint {
        Some(hint) => failure.hint(hint),
        None => failure,
    }
}

/// Prints the study, what the command could add, and what goes with a maximal test.
fn say(answer: &StudyAnswer, catalogue: &Catalogue, test: Option<&Test>) -> Result<(), Failure> {
    print::text(words(answer))?;
    if answer.blend.is_err() && test.is_none() {
        print::text("\nName the test with --test ID to add what is published of it.")?;
    }
    match test.filter(|test| test.definition().maximal) {
        Some(test) => print::text(format!("\n{}", plan::cautions(catalogue, Some(test)))),
        None => Ok(()),
    }
}

/// Words that people must be tested again: how else, and what goes with a maximal test.
fn too_few(error: StudyError, catalogue: &Catalogue, test: &Test) -> Failure {
    let again = matches!(error, StudyError::NoRepeats { .. });
    let failure = failure(error);
    if !again {
        return failure;
    }
    let failure = failure.hint("--within-weeks N lets results count that lie further apart");
    if test.definition().maximal {
        failure.hint(plan::cautions(catalogue, Some(test)).replace('\n', " "))
    } else {
        failure
    }
}

fn write(
    answer: &StudyAnswer,
    whole: &serde_json::Value,
    folder: &Path,
) -> Result<Vec<PathBuf>, Failure> {
    make_folder(folder)?;
    let drawn = figures(answer);
    let mut files = vec![("study-lines.svg", drawn.lines.svg)];
    files.extend(drawn.agreement.map(|f| ("study-agreement.svg", f.svg)));
    files.extend(drawn.by_level.map(|f| ("study-error-by-level.svg", f.svg)));
    files.push(("study.json", format!("{whole:#}\n")));
    let mut written = Vec::new();
    for (name, text) in files {
        let path = folder.join(name);
        write_whole(&path, text.as_bytes())?;
        written.push(path);
    }
    Ok(written)
}

fn words(answer: &StudyAnswer) -> String {
    let mut out: Vec<String> = verdict(answer)
        .iter()
        .map(|w| print::wrapped(w, 96))
        .collect();
    out.push(String::new());
    let study = &answer.study;
    let scale = if answer.in_percent() {
        "in percent"
    } else {
        "in the unit of the values"
    };
    out.push(print::wrapped(
        &format!(
            "{} people, {} trials, {} values; {scale}: {}; intervals {} %",
            study.people,
            study.trials,
            study.values,
            answer.scale_why,
            print::short(study.level * 100.0, 1)
        ),
        96,
    ));
    out.push(String::new());
    let head = [
        ("what", Align::Left),
        ("value", Align::Right),
        ("interval", Align::Left),
    ];
    let cells: Vec<Vec<String>> = rows(answer).into_iter().map(Vec::from).collect();
    out.push(print::table(&head, &cells));
    out.push(String::new());
    out.extend(
        answer
            .table
            .notes
            .iter()
            .map(|n| print::hanging(&format!("· {n}"), 96)),
    );
    out.join("\n")
}
