//! Measurement science on large data, beside the general-purpose packages of the field on the same files.
//! Each program times its own work, reading left out.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::run::{cargo, program, root, step, target};
use crate::test::python;

/// Rows of the two large files: all of them for both sides.
const ROWS: usize = 1_000_000;

struct Side {
    told: Value,
    mib: Option<f64>,
}

/// Runs the jobs; returns their table.
pub fn table(folder: &Path) -> Result<String, String> {
    step(
        "release build of the large jobs",
        &mut cargo(&[
            "build",
            "--release",
            "--package",
            "plimsoll-measure",
            "--example",
            "weigh",
        ]),
    )?;
    let python = python()?;
    let mut pip = program(
        &python,
        &["-m", "pip", "install", "--quiet", "pingouin==0.7.0"],
    );
    step("pingouin", &mut pip)?;
    let weigh = target().join("release/examples/weigh");
    let scripts = root().join("scripts/bench");
    let data = folder.join("science");
    told(Command::new(&weigh).arg("make").arg(&data))?;
    let ours = |job: &str| told(Command::new(&weigh).arg(job).arg(&data));
    let r = |script: &str, rows: usize| {
        told(
            Command::new("Rscript")
                .arg(scripts.join(script))
                .arg(&data)
                .arg(rows.to_string()),
        )
    };
    let mut out = String::from(
        "\n## Measurement science\n\nEach beside a general-purpose package on the same file, in one run; every program \
         times its own work, reading left out. The ratio is peer over ours. Memory is of the whole process, \
         the data with it.\n\n\
         | job | peer | ratio | ours, s | peer, s | ours, MiB | peer, MiB | the same? |\n\
         | --- | --- | ---: | ---: | ---: | ---: | ---: | --- |\n",
    );
    let (a, b) = (ours("mixed")?, r("mixed.R", ROWS)?);
    let gap = number(&a, "log_likelihood")? - number(&b, "log_likelihood")?;
    line(
        &mut out,
        "random slope by REML, 1 000 000 rows, 50 000 athletes",
        &a,
        &b,
        &format!("log-likelihoods differ by {gap:.1e}"),
    )?;
    let (a, b) = (ours("lms")?, r("lms.R", ROWS)?);
    let medians = |side: &Side| side.told["medians"].to_string();
    let words = format!(
        "1 000 000 rows; ours also chooses its smoothness, the peer is given degrees of freedom; \
         medians at 10, 13, 16: {} and {}",
        medians(&a),
        medians(&b)
    );
    line(&mut out, "LMS curves smooth in age", &a, &b, &words)?;
    let study = scripts.join("study.py");
    let b = told(Command::new(&python).arg(&study).arg(&data))?;
    let a = ours("study")?;
    reliability(&mut out, a, b)?;
    let level = ours("level")?;
    let _ = writeln!(
        out,
        "\nNo package does the same for levels: {} athletes with {} whole scores each, on two threads, {:.2} s, {:.0} MiB.",
        level.told["athletes"],
        level.told["tests"],
        number(&level, "s")?,
        level.mib.unwrap_or(f64::NAN)
    );
    Ok(out)
}

/// The correlations alone, the same work on both sides, and the whole study as far as the peer's goes.
fn reliability(out: &mut String, mut ours: Side, mut peer: Side) -> Result<(), String> {
    let icc = |side: &Side, at: usize| side.told["icc"][at].as_f64().unwrap_or(f64::NAN);
    let gap = (0..6)
        .map(|at| (icc(&ours, at) - icc(&peer, at)).abs())
        .fold(0.0, f64::max);
    let words = format!(
        "both from the table in memory to the six correlations with intervals, which differ by {gap:.0e} at most; \
         for agreement ours adds an interval that holds its level"
    );
    let name = "six ICC of 100 000 people, 3 trials";
    line(out, name, &ours, &peer, &words)?;
    let logs = |side: &Side| side.told["logs"] == true;
    let words = format!(
        "values{}: ICC, each pair's change, error and limits, pooled error, each person's influence, first pair, error \
         against level; ours also exact limits, components, detectable changes and flags; the error is {:.4} and {:.4}",
        if logs(&ours) && logs(&peer) {
            " and logs"
        } else {
            " (logs on one side or none)"
        },
        number(&ours, "error")?,
        number(&peer, "error")?
    );
    for side in [&mut ours, &mut peer] {
        side.told["s"] = side.told["whole_s"].take();
    }
    let version = peer.told["version"].as_str().unwrap_or("?");
    peer.told["version"] = format!("{version}, scipy, numpy").into();
    line(
        out,
        "a whole study of the same people",
        &ours,
        &peer,
        &words,
    )
}

fn line(out: &mut String, job: &str, ours: &Side, peer: &Side, same: &str) -> Result<(), String> {
    let (a, b) = (number(ours, "s")?, number(peer, "s")?);
    let mib = |side: &Side| {
        side.mib
            .map_or_else(|| "–".to_owned(), |m| format!("{m:.0}"))
    };
    let version = peer.told["version"].as_str().unwrap_or("?");
    let _ = writeln!(
        out,
        "| {job} | {version} | {:.1} | {a:.3} | {b:.3} | {} | {} | {same} |",
        b / a,
        mib(ours),
        mib(peer)
    );
    Ok(())
}

fn number(side: &Side, key: &str) -> Result<f64, String> {
    side.told[key]
        .as_f64()
        .ok_or_else(|| format!("no number `{key}` in {}", side.told))
}

/// Runs a program that prints one JSON line; with the most memory it held, where that can be had.
fn told(command: &mut Command) -> Result<Side, String> {
    let timer = Path::new("/usr/bin/time");
    let mut timed = Command::new(timer);
    timed
        .args(["-f", "MAXRSS %M"])
        .arg(command.get_program())
        .args(command.get_args());
    let run = if timer.is_file() { &mut timed } else { command };
    let out = run.output().map_err(|e| format!("{run:?}: {e}"))?;
    let said = String::from_utf8_lossy(&out.stderr);
    if !out.status.success() {
        return Err(format!("{run:?}: {said}"));
    }
    let text = String::from_utf8_lossy(&out.stdout);
    let last = text.lines().last().unwrap_or_default();
    let told = serde_json::from_str(last).map_err(|e| format!("{run:?}: {e}: {last}"))?;
    let kib = said
        .lines()
        .rev()
        .find_map(|l| l.strip_prefix("MAXRSS ")?.trim().parse::<f64>().ok());
    Ok(Side {
        told,
        mib: kib.map(|k| k / 1024.0),
    })
}
