//! Tidy tables: one row a person-test, one row a past result, and the dictionary of columns.
//! Must not round, reformat or drop anything: a label stays the text it is.
//! Format: `docs/formats/report.md`.

mod columns;

use crate::ReportError;
use crate::model::{AthleteLine, Bound, ChangeLine, DayReport, HistoryPoint, LevelLine, Move, Way};

/// How the tables are written.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct CsvOptions {
    /// Puts an apostrophe before text that a spreadsheet would run as a formula (text that
    /// begins with `=`, `+`, `-`, `@`, a tab or a return). Off by default: a table for
    /// statistics programs must hold the text as it is. For spreadsheets prefer the workbook.
    pub spreadsheet_safe: bool,
}

/// The tables of one report, as UTF-8 text with a header line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TidyCsv {
    /// `results.csv`: one row a person and test.
    pub rows: String,
    /// `history.csv`: one row a person and earlier or present result.
    pub history: String,
    /// `data-dictionary.csv`: one row a column of the other two.
    pub dictionary: String,
}

/// Writes the report as tidy tables.
///
/// # Errors
///
/// [`ReportError::Table`] when a table cannot be written, which needs memory to run out.
pub fn render_csv(report: &DayReport, options: CsvOptions) -> Result<TidyCsv, ReportError> {
    let results = report.athletes.iter().map(|line| result_row(report, line));
    let history = report
        .athletes
        .iter()
        .flat_map(|line| history_rows(report, line));
    let dictionary = columns::RESULTS
        .iter()
        .map(|c| ("results.csv", c))
        .chain(columns::HISTORY.iter().map(|c| ("history.csv", c)))
        .map(|(table, c)| {
            [table, c.name, c.kind, c.unit, c.meaning]
                .map(str::to_owned)
                .to_vec()
        });
    let names = |columns: &[columns::Column]| columns.iter().map(|c| c.name).collect::<Vec<_>>();
    Ok(TidyCsv {
        rows: table("results.csv", &names(&columns::RESULTS), results, options)?,
        history: table("history.csv", &names(&columns::HISTORY), history, options)?,
        dictionary: table(
            "data-dictionary.csv",
            &["table", "column", "type", "unit", "meaning"],
            dictionary,
            options,
        )?,
    })
}

fn table(
    name: &'static str,
    header: &[&str],
    rows: impl Iterator<Item = Vec<String>>,
    options: CsvOptions,
) -> Result<String, ReportError> {
    let failed = |source| ReportError::Table {
        table: name,
        source,
    };
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(header).map_err(failed)?;
    for row in rows {
        let row = row.into_iter().map(|field| guard(field, options));
        writer.write_record(row).map_err(failed)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| failed(csv::Error::from(error.into_error())))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// Disarms text that would run as a formula; numbers with a sign stay numbers.
fn guard(field: String, options: CsvOptions) -> String {
    let risky = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if options.spreadsheet_safe && risky && field.parse::<f64>().is_err() {
        format!("'{field}")
    } else {
        field
    }
}

fn result_row(report: &DayReport, line: &AthleteLine) -> Vec<String> {
    let day = &report.day;
    let change = line.change.as_ref();
    let moved = report.moved(&line.id);
    let level = line.level.as_ref();
    let level = |f: &dyn Fn(&LevelLine) -> String| level.map(f).unwrap_or_default();
    let of = |f: &dyn Fn(&ChangeLine) -> String| change.map(f).unwrap_or_default();
    vec![
        line.id.clone(),
        line.name.clone(),
        day.date.to_string(),
        day.venue.clone(),
        day.surface.clone(),
        day.test_id.clone(),
        day.ladder_fingerprint.clone(),
        line.label.clone(),
        line.bouts.map(|b| b.to_string()).unwrap_or_default(),
        number(line.distance_m),
        number(line.final_speed_kmh),
        number(line.value),
        report.quantity.unit.clone(),
        kind(line).to_owned(),
        line.reason.clone(),
        moved.map(|m| m.way.as_str().to_owned()).unwrap_or_default(),
        moved.map(basis).unwrap_or_default(),
        number(moved.and_then(|m| m.chance)),
        level(&|l| number(Some(l.level))),
        level(&|l| number(Some(l.lower))),
        level(&|l| number(Some(l.upper))),
        level(&|l| l.unit.clone()),
        level(&|l| l.since.to_string()),
        level(&|l| number(Some(l.p_up))),
        level(&|l| number(Some(l.p_trivial))),
        level(&|l| number(Some(l.p_down))),
        level(&|l| l.verdict.clone()),
        of(&|c| c.against_label.clone()),
        of(&|c| number(Some(c.difference))),
        of(&|c| c.unit.clone()),
        of(&|c| number(c.low90)),
        of(&|c| number(c.high90)),
        of(&|c| bound(c.bound).to_owned()),
        of(&|c| number(c.p_up)),
        of(&|c| number(c.p_trivial)),
        of(&|c| number(c.p_down)),
        of(&|c| c.verdict.clone()),
        of(&|c| c.decided.to_string()),
        line.flags.join("; "),
        line.how.clone(),
    ]
}

/// Returns what says which way; nothing for a first result, which nothing is compared with.
fn basis(one: &Move) -> String {
    match one.way {
        Way::First => String::new(),
        _ => one.basis.as_str().to_owned(),
    }
}

fn history_rows(report: &DayReport, line: &AthleteLine) -> Vec<Vec<String>> {
    let row = |p: &HistoryPoint| {
        vec![
            line.id.clone(),
            p.date.to_string(),
            number(Some(p.value)),
            report.quantity.unit.clone(),
            if p.lower_bound {
                "lower_bound"
            } else {
                "score"
            }
            .to_owned(),
            number(p.low),
            number(p.high),
            p.note.clone(),
        ]
    };
    line.history.iter().map(row).collect()
}

fn kind(line: &AthleteLine) -> &'static str {
    match (line.value, line.lower_bound, line.ceiling) {
        (None, ..) => "none",
        (_, true, _) => "lower_bound",
        (_, _, true) => "ceiling",
        _ => "score",
    }
}

fn bound(bound: Bound) -> &'static str {
    match bound {
        Bound::Exact => "exact",
        Bound::AtLeast => "at_least",
        Bound::AtMost => "at_most",
    }
}

/// Shortest digits that give the same number back; empty when missing.
fn number(value: Option<f64>) -> String {
    value
        .filter(|v| v.is_finite())
        .map(|v| v.to_string())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_text_that_would_run_is_disarmed_and_only_on_request() {
        let safe = CsvOptions {
            spreadsheet_safe: true,
        };
        assert_eq!(guard("=1+1".to_owned(), safe), "'=1+1");
        assert_eq!(guard("@name".to_owned(), safe), "'@name");
        assert_eq!(guard("-110.5".to_owned(), safe), "-110.5");
        assert_eq!(guard("14.10".to_owned(), safe), "14.10");
        assert_eq!(guard("=1+1".to_owned(), CsvOptions::default()), "=1+1");
    }
}
