//! `plimsoll listen`: what a recording says was played, and how true.

use std::fs::File;
use std::path::Path;

use plimsoll_archive::{SoundCheckKind, TestDay, Writer, sha256_of};
use plimsoll_desk::sound_check;
use plimsoll_ladder::Catalogue;
use plimsoll_listen::{Heard, Kind, listen, read};
use plimsoll_report::figure_sound;

use super::reading;

use crate::cli::Listen;
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print;

/// Bytes of the working copy kept in memory; more goes to a file that vanishes by itself.
const IN_MEMORY: usize = 32 << 20;
/// Speed error that a person must settle, ppm: about a quarter of a bout.
const SETTLE_PPM: f64 = 1_000.0;

/// Listens to a recording.
pub fn run(session: &Session, catalogue: &Catalogue, args: &Listen) -> Result<Found, Failure> {
    let heard = hear(catalogue, &args.file, args.test.as_deref())?;
    let mut done = Vec::new();
    if let Some(day) = &args.attach {
        done.push(keep(session, day, args, &heard)?);
    }
    if let Some(path) = &args.figure {
        done.push(figure(&heard, path)?);
    }
    if session.json {
        let document = serde_json::to_value(&heard).map_err(Failure::new)?;
        print::json(&document)?;
    } else {
        words(&heard, &args.file)?;
        for line in done {
            print::text(format!("\n{line}"))?;
        }
    }
    Ok(Found::any(needs_a_person(&heard, args.test.as_deref())))
}

/// Keeps what was heard beside a test day.
fn keep(session: &Session, day: &str, args: &Listen, heard: &Heard) -> Result<String, Failure> {
    let mut archive = session.write()?;
    let day = reading::the_day(&archive, day)?;
    let kind = if args.before {
        SoundCheckKind::Before
    } else {
        SoundCheckKind::During
    };
    attach_file(&mut archive, &day, kind, &args.file, heard)?;
    Ok(format!(
        "kept beside the test day of {}: `plimsoll report` shows it as the sound certificate",
        day.facts.date
    ))
}

/// Keeps what was heard in a file beside a test day, with the digest of the file.
pub fn attach_file(
    archive: &mut Writer,
    day: &TestDay,
    kind: SoundCheckKind,
    path: &Path,
    heard: &Heard,
) -> Result<(), Failure> {
    let at = |e: std::io::Error| Failure::new(format!("{}: {e}", path.display()));
    let digest = sha256_of(&mut File::open(path).map_err(at)?).map_err(at)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    sound_check::attach(archive, day.id, kind, &name, &digest, heard).map_err(Failure::new)?;
    Ok(())
}

/// Draws the timing of every cue.
pub fn figure(heard: &Heard, path: &Path) -> Result<String, Failure> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let drawn = figure_sound(&sound_check::recording(&name, heard)).ok_or_else(|| {
        Failure::new("there is no figure: no cue was timed")
            .hint("only a track of ours has the timing of every cue")
    })?;
    places::write_whole(path, drawn.svg.as_bytes())?;
    Ok(format!("drawn: {}", path.display()))
}

/// Listens to a file.
pub fn hear(catalogue: &Catalogue, path: &Path, expected: Option<&str>) -> Result<Heard, Failure> {
    let at = |e: &dyn std::fmt::Display| Failure::new(format!("{}: {e}", path.display()));
    let file = File::open(path).map_err(|e| at(&e).hint("name a recording that can be read"))?;
    let ending = path.extension().and_then(|e| e.to_str());
    let mut recording = read::open(Box::new(file), ending).map_err(|e| at(&e))?;
    let scratch = tempfile::spooled_tempfile(IN_MEMORY);
    listen(&mut recording, scratch, catalogue, expected).map_err(|e| at(&e))
}

/// Returns whether something was heard that someone has to decide about.
fn needs_a_person(heard: &Heard, expected: Option<&str>) -> bool {
    heard.kind == Kind::NotRecognised
        || expected.is_some_and(|id| heard.test.as_deref() != Some(id))
        || !heard.gaps.is_empty()
        || heard.kind == Kind::Own && heard.cues_heard < heard.cues_expected
        || heard
            .speed_error_ppm
            .is_some_and(|ppm| ppm.abs() > SETTLE_PPM)
}

fn words(heard: &Heard, path: &Path) -> Result<(), Failure> {
    print::text(format!(
        "{}: {} at {} Hz, {}\n",
        path.display(),
        heard.codec,
        heard.rate,
        print::clock(heard.duration_s)
    ))?;
    for sentence in &heard.meaning {
        print::text(print::hanging(sentence, 96))?;
    }
    let mut facts: Vec<String> = Vec::new();
    let mut fact = |name: &str, value: Option<String>| {
        facts.extend(value.map(|value| format!("  {name:<32}{value}")));
    };
    fact(
        "first start of the test at",
        heard.offset_s.map(|s| format!("{s:.3} s of the recording")),
    );
    fact(
        "a cue is off the line by",
        heard.residual_ms.map(|ms| format!("{ms:.2} ms (median)")),
    );
    fact(
        "largest error of an interval",
        heard.worst_interval_ms.map(|ms| format!("{ms:.1} ms")),
    );
    if !facts.is_empty() {
        print::text(format!("\n{}", facts.join("\n")))?;
    }
    if heard.kind != Kind::Own && heard.posterior.len() > 1 {
        print::text("\nHow likely each ladder is")?;
        for (id, share) in heard.posterior.iter().take(5) {
            print::text(format!("  {id:<20}{:>6.1} %", share * 100.0))?;
        }
    }
    Ok(())
}
