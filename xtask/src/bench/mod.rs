//! `cargo xtask bench`: each job beside a general-purpose peer doing the same work, in one run; calibration.
//! Writes BENCHMARKS.md, and fails when a bound is missed. Seconds depend on the machine and are for scale only.

mod book;
mod calibration;
mod live;
mod material;
mod measure;
mod science;
mod sound;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use crate::run::{Outcome, cargo, program, root, step, target, text};
use crate::test::python;
use measure::{Best, interleaved};

/// One line of the table.
struct Line {
    job: &'static str,
    peer: String,
    best: Best,
    same: &'static str,
}

/// Rows of the import.
const ROWS: usize = 200_000;
/// Athletes of the report.
const ATHLETES: usize = 30;

/// Parts of the run, in the order of the file.
const PARTS: [&str; 4] = ["programs", "science", "live", "calibration"];

/// Measures everything, or with `--only PART` one part, and writes it to its place in the file.
pub fn run(words: &[String]) -> Outcome {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let only = match words.as_slice() {
        [] => None,
        ["--only", part] if PARTS.contains(part) => Some(*part),
        _ => {
            return Err(format!(
                "usage: cargo xtask bench [--only {}]",
                PARTS.join("|")
            ));
        }
    };
    let asked = |part: &str| only.is_none_or(|only| only == part);
    let folder = target().join("bench");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let mut missed = Vec::new();
    let mut parts = Vec::new();
    if asked("programs") {
        parts.push(programs(&folder)?);
    }
    if asked("science") {
        parts.push(science::table(&folder)?);
    }
    if asked("live") {
        parts.push(live::table()?);
    }
    if asked("calibration") {
        let (text, short) = calibration::section()?;
        parts.push(text);
        missed = short;
    }
    for part in &parts {
        println!("{part}");
    }
    book::write(&root().join("BENCHMARKS.md"), &parts, only.is_none())?;
    if missed.is_empty() {
        Ok(())
    } else {
        Err(format!("bounds missed:\n{}", missed.join("\n")))
    }
}

/// Whole programs beside their peers.
fn programs(folder: &Path) -> Result<String, String> {
    let python = python()?;
    step(
        "release build",
        &mut cargo(&["build", "--release", "--package", "plimsoll"]),
    )?;
    let ours = target().join("release/plimsoll");
    let scripts = root().join("scripts/bench");
    let version = text("python", &mut program(&python, &["--version"]))?
        .trim()
        .to_owned();
    let mut lines = vec![
        Line {
            job: "start-up",
            peer: format!("{version}, an empty program"),
            best: interleaved(
                20,
                &[&ours, Path::new("--version")],
                &[&python, Path::new("-c"), Path::new("pass")],
            )?,
            same: "each starts and ends",
        },
        Line {
            job: "ladder ir1 as JSON",
            peer: format!("{version} with fractions"),
            best: interleaved(
                20,
                &[
                    &ours,
                    Path::new("ladder"),
                    Path::new("ir1"),
                    Path::new("--json"),
                ],
                &[&python, &scripts.join("ladder.py"), Path::new("ladder")],
            )?,
            same: "91 bouts from exact rationals; ours also reads and checks all 36 definitions",
        },
        Line {
            job: "locate a label",
            peer: format!("{version} with fractions, 2 ladders"),
            best: interleaved(
                20,
                &[
                    &ours,
                    Path::new("locate"),
                    Path::new("ir1"),
                    Path::new("--label"),
                    Path::new("14.3"),
                ],
                &[
                    &python,
                    &scripts.join("ladder.py"),
                    Path::new("locate"),
                    Path::new("14.3"),
                ],
            )?,
            same: "one label to its bout; ours reads and checks all 36 definitions first",
        },
    ];
    lines.push(import(&ours, &python, &scripts, folder)?);
    lines.extend(report(&ours, &python, &scripts, folder)?);
    lines.extend(sound::lines(&ours, &python, &scripts, folder)?);
    Ok(table(&lines))
}

fn import(ours: &Path, python: &Path, scripts: &Path, folder: &Path) -> Result<Line, String> {
    let (roster, sheet) = material::many_results(folder, ROWS)?;
    let empty = folder.join("people");
    let seeded = program(ours, &["--archive"])
        .arg(&empty)
        .args(["people", "import"])
        .arg(&roster)
        .output()
        .map_err(|e| e.to_string())?;
    if seeded.status.code() == Some(2) {
        return Err(String::from_utf8_lossy(&seeded.stderr).into_owned());
    }
    let mut ratio: Option<Best> = None;
    for _ in 0..3 {
        let (a, b) = (folder.join("archive"), folder.join("peer.db"));
        let _ = std::fs::remove_dir_all(&a);
        let _ = std::fs::remove_file(&b);
        material::copy_folder(&empty, &a)?;
        let mine: Vec<PathBuf> = [
            ours.to_owned(),
            "--archive".into(),
            a,
            "results".into(),
            "import".into(),
            sheet.clone(),
            "--test".into(),
            "ir1".into(),
        ]
        .into();
        let peer = [
            python.to_owned(),
            scripts.join("import.py"),
            sheet.clone(),
            roster.clone(),
            b,
        ];
        let mine: Vec<&Path> = mine.iter().map(PathBuf::as_path).collect();
        let peer: Vec<&Path> = peer.iter().map(PathBuf::as_path).collect();
        let once = interleaved(1, &mine, &peer)?;
        ratio = Some(ratio.map_or(once, |r| r.better(once)));
    }
    Ok(Line {
        job: "import of 200 000 results",
        peer: "pandas and sqlite3".to_owned(),
        best: ratio.ok_or("nothing was measured")?,
        same: "read, check labels against distances, match 4 000 people, write each row with its digest; \
               ours also runs every fault detector and the ladder posterior",
    })
}

fn report(ours: &Path, python: &Path, scripts: &Path, folder: &Path) -> Result<Vec<Line>, String> {
    let archive = folder.join("thirty");
    material::thirty_athletes(ours, folder, &archive, ATHLETES)?;
    let out = folder.join("pages");
    let best = interleaved(
        5,
        &[
            ours,
            Path::new("--archive"),
            &archive,
            Path::new("report"),
            Path::new("--day"),
            Path::new("2026-11-21"),
            Path::new("--out"),
            &out,
        ],
        &[
            python,
            &scripts.join("workbook.py"),
            &folder.join("peer.xlsx"),
        ],
    )?;
    Ok(vec![Line {
        job: "report of 30 athletes",
        peer: "openpyxl, the workbook alone".to_owned(),
        best,
        same: "ours reads the archive, judges every change, and writes coach pages, 30 cards, workbook, \
               tables and figures; the peer writes a workbook of the same size",
    }])
}

fn table(lines: &[Line]) -> String {
    let mut out = String::from(
        "# Benchmarks\n\nMade by `cargo xtask bench`: each job and its peer in turn, in one run, best of \
         several. The ratio is peer over ours: above 1, ours is faster. Seconds are for scale and belong \
         to the machine of that run. No test is timed. A part run alone (`--only`) replaces its own part here.\n\n\
         | job | peer | ratio | ours, s | peer, s | ours, peak MiB | what is the same, what is not |\n\
         | --- | --- | ---: | ---: | ---: | ---: | --- |\n",
    );
    for l in lines {
        let _ = writeln!(
            out,
            "| {} | {} | {:.1} | {:.3} | {:.3} | {} | {} |",
            l.job,
            l.peer,
            l.best.peer_s / l.best.ours_s,
            l.best.ours_s,
            l.best.peer_s,
            l.best
                .ours_mib
                .map_or_else(|| "–".to_owned(), |m| format!("{m:.0}")),
            l.same
        );
    }
    out
}
