//! What the command line says about reading sheets, dates, sizes and days.

use jiff::civil::Date;
use plimsoll_archive::{Archive, TestDay};
use plimsoll_examine::{Field, Options, Rule};
use plimsoll_interpret::{Level, Size};

use crate::cli::{Judging, Reading};
use crate::failure::Failure;

/// Returns the date written.
pub fn date(written: &str) -> Result<Date, Failure> {
    written.parse().map_err(|_| {
        Failure::new(format!("`{written}` is not a date")).hint("write year-month-day: 2026-11-21")
    })
}

/// Puts what the command line says into the examiner's options.
pub fn apply(options: &mut Options<'_>, reading: &Reading) -> Result<(), Failure> {
    options.sheet.clone_from(&reading.sheet);
    for written in &reading.columns {
        let bad = |why: &str| {
            let fields: Vec<&str> = Field::ALL.iter().map(|f| f.as_str()).collect();
            Failure::new(format!("--column {written}: {why}")).hint(format!(
                "write HEADER=FIELD; fields are {}",
                fields.join(", ")
            ))
        };
        let (header, field) = written
            .rsplit_once('=')
            .ok_or_else(|| bad("there is no `=`"))?;
        let field = match field.trim() {
            "" => None,
            name => {
                Some(Field::from_name(name).ok_or_else(|| bad(&format!("`{name}` is no field")))?)
            }
        };
        options.mapping.push((header.trim().to_owned(), field));
    }
    for name in &reading.allow {
        let rule = Rule::from_name(name).ok_or_else(|| {
            let names: Vec<&str> = Rule::ALL.iter().map(|r| r.as_str()).collect();
            Failure::new(format!("--allow {name}: no such correction"))
                .hint(format!("corrections are {}", names.join(", ")))
        })?;
        options.rules.insert(rule);
    }
    Ok(())
}

/// Returns a size in the unit of the test, or in percent.
pub fn size(option: &str, written: &str) -> Result<Size, Failure> {
    let bad = || {
        Failure::new(format!("{option} is `{written}`, not a size above 0"))
            .hint("write a number in the unit of the test, 120, or a percentage, 4.9%")
    };
    let (text, percent) = match written.trim().strip_suffix('%') {
        Some(text) => (text.trim(), true),
        None => (written.trim(), false),
    };
    let value: f64 = text.parse().map_err(|_| bad())?;
    if !value.is_finite() || value <= 0.0 {
        return Err(bad());
    }
    Ok(if percent {
        Size::Percent(value)
    } else {
        Size::InUnit(value)
    })
}

/// What the command line says about error, worth and level.
#[derive(Debug, Clone, Copy, Default)]
pub struct Judged {
    /// Typical error.
    pub error: Option<Size>,
    /// Smallest worthwhile change.
    pub worthwhile: Option<Size>,
    /// How trained.
    pub level: Option<Level>,
}

/// Reads error, worth and level.
pub fn judging(args: &Judging) -> Result<Judged, Failure> {
    let level = match args.level.as_deref() {
        None => None,
        Some(word) => Some(Level::parse(word).ok_or_else(|| {
            Failure::new(format!("--level is `{word}`"))
                .hint("use untrained, recreational, trained or elite")
        })?),
    };
    Ok(Judged {
        error: args
            .typical_error
            .as_deref()
            .map(|w| size("--typical-error", w))
            .transpose()?,
        worthwhile: args.swc.as_deref().map(|w| size("--swc", w)).transpose()?,
        level,
    })
}

/// Returns the one test day that a date, or a date and a test, means.
pub fn the_day(archive: &Archive, written: &str) -> Result<TestDay, Failure> {
    let (on, test) = written
        .split_once('/')
        .map_or((written, None), |(d, t)| (d, Some(t)));
    let on = date(on)?;
    let days: Vec<TestDay> = archive.days()?;
    let mut found: Vec<TestDay> = days
        .iter()
        .filter(|d| d.facts.date == on)
        .filter(|d| test.is_none_or(|t| d.facts.ladder_id.as_deref() == Some(t)))
        .cloned()
        .collect();
    match found.len() {
        1 => Ok(found.remove(0)),
        0 => {
            let near = days
                .iter()
                .map(|d| d.facts.date.to_string())
                .collect::<Vec<_>>();
            Err(
                Failure::new(format!("the archive has no test day {written}")).hint(format!(
                    "it has {}",
                    if near.is_empty() {
                        "none".to_owned()
                    } else {
                        near.join(", ")
                    }
                )),
            )
        }
        _ => {
            let tests: Vec<String> = found
                .iter()
                .map(|d| format!("{}/{}", on, d.facts.ladder_id.as_deref().unwrap_or("")))
                .collect();
            Err(
                Failure::new(format!("{} test days are on {on}", found.len()))
                    .hint(format!("say which: {}", tests.join(", "))),
            )
        }
    }
}
