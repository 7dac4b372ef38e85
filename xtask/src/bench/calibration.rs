//! Calibration by seeded simulation: tables of what was found, and each bound in words, met or missed.
//! The numbers come from the example `calibrate`; whether a bound is met is decided here and nowhere else.

use std::fmt::Write as _;

use serde_json::Value;

use crate::run::{cargo, output};

/// Heading of the part.
const HEADING: &str = "\n## Calibration\n\nSeeded simulation with known truth, the same numbers in every run. \
    A 90 % interval must hold the truth in 88 to 92 % of cases. Chances are counted in ten bins: a bin is within when \
    the share seen lies where 99 of 100 would, were every chance true; nine of ten must be, and seen and expected \
    differ by 2 points at most on average. A cause planted clearly must be named in 80 % and more. The bench fails \
    when a bound is missed.\n";

/// Runs the simulations; returns their part of the file, and what missed its bound.
pub fn section() -> Result<(String, Vec<String>), String> {
    println!("── calibration");
    let mut job = cargo(&[
        "run",
        "--release",
        "--quiet",
        "--package",
        "plimsoll-measure",
        "--example",
        "calibrate",
    ]);
    let said = output("calibrate", &mut job)?;
    if !said.status.success() {
        return Err(String::from_utf8_lossy(&said.stderr).into_owned());
    }
    let told: Value =
        serde_json::from_slice(&said.stdout).map_err(|e| format!("calibrate: {e}"))?;
    written(&told)
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>, String> {
    value[key]
        .as_array()
        .ok_or_else(|| format!("calibrate: no list `{key}` in {value}"))
}

fn written(told: &Value) -> Result<(String, Vec<String>), String> {
    let (mut out, mut missed) = (HEADING.to_owned(), Vec::new());
    let (mut bounds, mut short) = (0, String::new());
    let mut tables = String::new();
    for part in list(told, "sections")? {
        let title = part["title"].as_str().unwrap_or_default();
        let words = part["words"].as_str().unwrap_or_default();
        let _ = writeln!(tables, "\n### {title}\n\n{words}\n");
        for table in list(part, "tables")? {
            tables += &grid(table)?;
        }
        for bound in list(part, "bounds")? {
            bounds += 1;
            let (line, met) = worded(bound)?;
            let _ = writeln!(tables, "- {line}");
            if !met {
                let _ = writeln!(short, "- {title}: {line}");
                missed.push(format!("{title}: {line}"));
            }
        }
    }
    let _ = if missed.is_empty() {
        writeln!(out, "\nAll {bounds} bounds are met.")
    } else {
        writeln!(
            out,
            "\n{} of {bounds} bounds are missed:\n\n{short}",
            missed.len()
        )
    };
    let seconds = told["s"].as_f64().unwrap_or(f64::NAN);
    let _ = writeln!(out, "\nThe whole took {seconds:.0} s on two threads.");
    Ok((out + &tables, missed))
}

fn grid(table: &Value) -> Result<String, String> {
    let cells = |row: &Value| -> Result<String, String> {
        let cells = row.as_array().ok_or("calibrate: a row that is no list")?;
        let cells: Vec<&str> = cells.iter().filter_map(Value::as_str).collect();
        Ok(format!("| {} |\n", cells.join(" | ")))
    };
    let columns = list(table, "columns")?.len();
    let mut out = cells(&table["columns"])?;
    out += &format!("| ---{} |\n", " | ---:".repeat(columns.saturating_sub(1)));
    for row in list(table, "rows")? {
        out += &cells(row)?;
    }
    Ok(out + "\n")
}

/// A bound in words, and whether it is met; a number that is none misses every bound.
fn worded(bound: &Value) -> Result<(String, bool), String> {
    let number = |key: &str| bound[key].as_f64();
    let (Some(low), Some(high)) = (number("low"), number("high")) else {
        return Err(format!("calibrate: a bound without ends: {bound}"));
    };
    let unit = match bound["unit"].as_str().unwrap_or_default() {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    let found = number("found");
    let met = found.is_some_and(|found| (low..=high).contains(&found));
    let wanted = if low < -1e5 {
        format!("{high}{unit} or less")
    } else {
        format!("{low} to {high}{unit}")
    };
    let found = found.map_or("no number".to_owned(), |f| {
        let digits = if unit == " of 10" { 0 } else { 1 };
        format!("{f:.digits$}{unit}")
    });
    let what = bound["what"].as_str().unwrap_or_default();
    let end = if met { "met" } else { "MISSED" };
    Ok((format!("{what}: {found}, wanted {wanted}: {end}"), met))
}

#[cfg(test)]
mod tests {
    use super::written;
    use serde_json::json;

    fn told(found: serde_json::Value) -> serde_json::Value {
        json!({ "s": 1.0, "sections": [{ "title": "T", "words": "w",
            "tables": [{ "columns": ["a", "b"], "rows": [["x", "1"]] }],
            "bounds": [{ "what": "share", "found": found, "low": 88.0, "high": 92.0, "unit": "%" }] }] })
    }

    #[test]
    fn a_bound_is_met_or_missed_in_words() {
        let (text, missed) = written(&told(json!(92.0))).expect("a part");
        assert!(missed.is_empty() && text.contains("share: 92.0 %, wanted 88 to 92 %: met"));
        assert!(text.contains("| a | b |\n| --- | ---: |\n| x | 1 |\n"));
        let (text, missed) = written(&told(json!(92.1))).expect("a part");
        assert_eq!(missed.len(), 1);
        assert!(text.contains("1 of 1 bounds are missed"), "{text}");
        // No number (nothing was counted) is no bound met.
        assert_eq!(written(&told(json!(null))).expect("a part").1.len(), 1);
        assert!(written(&json!({})).is_err());
    }
}
