//! The sentences about rows and lanes.
//! Must propose nothing but a look at the paper.

use plimsoll_report::format::percent;

use super::Part;
use super::rows::{FEWEST, SheetRead, Sheets};

const SETTLE: &str = "Hold the paper beside the list: is a runner passed over, a row filled twice, a name crossed out? \
    Read the results back to the people concerned. Nothing is changed here; put a result right where it is kept, \
    with the reason.";
const BASIS: &str = "Each result against what the person's earlier results lead to expect, with the day's common gap \
    taken out; shifts of up to 3 rows and exchanges of two are weighed against the sheet as written, 5 % of sheets \
    taken to have slipped and 2 % of results to be far off for another reason (working assumptions, no source). \
    Shifts that end again before the last row are not looked for.";

/// All sheets in words.
pub(super) fn part(sheets: Vec<SheetRead>) -> Part<Sheets> {
    if sheets.is_empty() {
        return Part::refused(
            "No row or lane is kept with the results of this day; their order cannot be looked at."
                .to_owned(),
            BASIS,
            "Import the sheet itself, or judge the wave on the pages of the day.",
        );
    }
    let says = sheets.iter().map(|sheet| sheet.words.clone()).collect();
    let told = sheets.iter().any(|sheet| sheet.verdict != "too_few");
    let quiet = sheets.iter().all(|sheet| sheet.edit.is_none());
    Part {
        says,
        basis: BASIS.to_owned(),
        settle: match (told, quiet) {
            (false, _) => "More tests of the same people: a first sheet has nothing to be compared with.",
            (true, true) => {
                "Nothing to settle here; reading each result back to its runner remains the better check."
            }
            (true, false) => SETTLE,
        }
        .to_owned(),
        answer: told.then_some(Sheets { sheets }),
    }
}

/// One sheet in words; `name` gives who is on a row.
pub(super) fn sheet<'n>(sheet: &SheetRead, name: &dyn Fn(u32) -> Option<&'n str>) -> String {
    let SheetRead {
        name: file, place, ..
    } = sheet;
    let chance = |p: Option<f64>| percent(p.unwrap_or(0.0));
    let looks = sheet.edit.as_ref().map(|edit| {
        let who = |at: u32| match name(at) {
            Some(name) => format!("{place} {at} ({name})"),
            None => format!("{place} {at}"),
        };
        let rows = |n: usize| if n == 1 { "one".to_owned() } else { n.to_string() };
        let about = if edit.chance < 0.5 { "about " } else { "" };
        match edit.kind {
            "exchanged" => format!("{} and {} look exchanged", who(edit.first), who(edit.last)),
            kind => {
                let way = if kind == "too_high" { "down" } else { "up" };
                format!(
                    "{place}s {about}{} to {} look shifted by {}: from {} on each result seems to belong {} {place}{} \
                     further {way}",
                    edit.first,
                    edit.last,
                    rows(edit.by),
                    who(edit.first),
                    rows(edit.by),
                    if edit.by == 1 { "" } else { "s" }
                )
            }
        }
    });
    let held = match sheet.held {
        0 => String::new(),
        1 => " One row of the file is held back and not looked at here.".to_owned(),
        n => format!(
            " {n} rows of the file are held back and not looked at here; settle those first."
        ),
    };
    let said = match (sheet.verdict, looks) {
        ("too_few", _) => format!(
            "{file}: {} of {} {place}s have earlier results to compare with; {FEWEST} are needed.",
            sheet.compared, sheet.rows
        ),
        ("as_written", _) | (_, None) => format!(
            "{file}: as written ({} for it, {} {place}s, {} with earlier results).",
            chance(sheet.as_written),
            sheet.rows,
            sheet.compared
        ),
        ("slip", Some(looks)) => format!(
            "{file}: {looks} (chance of some slip {}, of exactly this {}).",
            chance(sheet.as_written.map(|p| 1.0 - p)),
            chance(sheet.edit.as_ref().map(|e| e.chance))
        ),
        (_, Some(looks)) => format!(
            "{file}: cannot tell. If anything is wrong, {looks} (chance of some slip {}).",
            chance(sheet.as_written.map(|p| 1.0 - p))
        ),
    };
    said + &held
}
