//! What a day's report is gathered from: earlier results, the spread of the day, rows still held.
//! Must not judge a change.

use plimsoll_archive::{Archive, ArchiveError, DayId, HistoryEntry, ImportKind, TestDay};
use plimsoll_report::HeldRow;

use super::words;
use crate::history::Entry as Past;

/// Returns the results up to and with a day, today's last.
pub(super) fn up_to(all: Vec<HistoryEntry>, day: &TestDay) -> Vec<HistoryEntry> {
    let mut list: Vec<HistoryEntry> = all
        .into_iter()
        .filter(|h| h.day.id == day.id || h.day.facts.date < day.facts.date)
        .collect();
    list.sort_by_key(|h| (h.day.id == day.id, h.day.facts.date));
    list
}

/// Fewer scores than this give no squad SD. Common practice, no source.
const FEWEST_FOR_SPREAD: usize = 8;

/// Returns the SD between the people of the day, scores only.
pub(super) fn spread<'a>(
    histories: impl Iterator<Item = &'a Vec<Past>>,
    day: DayId,
) -> Option<f64> {
    let values: Vec<f64> = histories
        .filter_map(|h| h.last())
        .filter(|e| e.entry.day.id == day && !e.is_lower_bound())
        .filter_map(|e| e.value.map(|(v, _)| v))
        .collect();
    if values.len() < FEWEST_FOR_SPREAD {
        return None;
    }
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    Some((squares / (values.len() - 1) as f64).sqrt())
}

/// Returns the rows of the day's imports that are still held, with the first finding about each.
pub(super) fn held_rows(archive: &Archive, day: &TestDay) -> Result<Vec<HeldRow>, ArchiveError> {
    let mut out = Vec::new();
    let imports: Vec<_> = archive
        .imports()?
        .into_iter()
        .filter(|i| i.kind == ImportKind::Results && !i.undone)
        .filter(|i| i.on_date == Some(day.facts.date) && i.ladder == day.facts.ladder_id)
        .collect();
    let all = archive.held_rows()?;
    for import in imports {
        let findings = archive.findings(import.id)?;
        for row in all
            .iter()
            .filter(|h| h.import == import.id && h.settled.is_none())
        {
            let about = findings.iter().find(|f| f.row == row.source.row);
            let text = |t: Option<&String>| t.cloned().unwrap_or_default();
            let printed = |t: String| words::for_print(&t);
            out.push(HeldRow {
                row: row.source.row.to_string(),
                column: text(about.and_then(|f| f.column.as_ref())),
                found: printed(
                    about
                        .and_then(|f| f.found.clone())
                        .unwrap_or_else(|| written(&row.source.as_written)),
                ),
                why: printed(about.map_or_else(
                    || "one of several rows with the same fault".to_owned(),
                    |f| words::reason(&f.code, f.allowed.as_deref()),
                )),
                suggestion: printed(text(about.and_then(|f| f.suggestion.as_ref()))),
            });
        }
    }
    Ok(out)
}

/// Returns a row's cells in one line.
fn written(cells: &serde_json::Value) -> String {
    let Some(cells) = cells.as_object() else {
        return String::new();
    };
    let parts: Vec<&str> = cells
        .values()
        .filter_map(serde_json::Value::as_str)
        .collect();
    parts.join(", ")
}
