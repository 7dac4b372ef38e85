//! The results of a day as they stand on their sheets and in their lanes, with the empty places between.
//! Must keep the order of the rows; what a row says is not judged here.

use std::collections::BTreeMap;

use plimsoll_archive::{Archive, ArchiveError, ImportId};
use plimsoll_judge::What;

use super::gather::{Logged, Runner, Squad};

/// More missing rows in a row than this are another part of the sheet. Chosen, no source.
const LONGEST_GAP: u32 = 20;

/// One row or lane with whoever is on it.
pub(super) struct Line<'r> {
    pub(super) place: u32,
    pub(super) runner: Option<&'r Runner>,
}

pub(super) struct Listed<'r> {
    pub(super) name: String,
    pub(super) held: usize,
    pub(super) place: &'static str,
    pub(super) lines: Vec<Line<'r>>,
}

/// A file and sheet being put together.
struct File<'r> {
    name: String,
    import: ImportId,
    sheet: Option<String>,
    rows: BTreeMap<u32, Option<&'r Runner>>,
}

/// The day's results by file and sheet, in the order of the rows, with the rows between that gave none.
pub(super) fn sheets<'r>(
    archive: &Archive,
    squad: &'r Squad<'_>,
) -> Result<Vec<Listed<'r>>, ArchiveError> {
    let mut files: BTreeMap<String, File<'_>> = BTreeMap::new();
    for runner in &squad.runners {
        let Some(source) = runner.source else {
            continue;
        };
        let from = archive.provenance(source)?;
        let sheet = from.row.sheet;
        let key = format!("{} {}", from.import.sha256, sheet.as_deref().unwrap_or(""));
        let name = match &sheet {
            None => from.import.file_name,
            Some(sheet) => format!("{}, sheet {sheet}", from.import.file_name),
        };
        let file = files.entry(key).or_insert_with(|| File {
            name,
            import: from.import.id,
            sheet,
            rows: BTreeMap::new(),
        });
        file.rows.insert(from.row.row, Some(runner));
    }
    let held = archive.held_rows()?;
    let list = files.into_values().map(|file| Listed {
        held: held
            .iter()
            .filter(|h| h.import == file.import && h.source.sheet == file.sheet)
            .filter(|h| h.settled.is_none())
            .count(),
        name: file.name,
        place: "row",
        lines: filled(file.rows),
    });
    Ok(list.collect())
}

/// Puts an empty line for every row between that is held, absent or somebody else's.
fn filled(rows: BTreeMap<u32, Option<&Runner>>) -> Vec<Line<'_>> {
    let mut lines: Vec<Line<'_>> = Vec::new();
    for (row, runner) in rows {
        let last = lines.last().map(|line| line.place);
        if let Some(last) = last.filter(|last| row - last <= LONGEST_GAP) {
            let empty = |place| Line {
                place,
                runner: None,
            };
            lines.extend((last + 1..row).map(empty));
        }
        lines.push(Line { place: row, runner });
    }
    lines
}

/// The lanes of a wave in order; nothing when none of its people has a result of the day from it.
pub(super) fn lanes<'r>(squad: &'r Squad<'_>, logged: &Logged) -> Option<Listed<'r>> {
    let mut lanes: BTreeMap<u32, Option<&Runner>> = BTreeMap::new();
    let mut put = |lane: u16, person: &str| {
        let own = squad.runners.iter().find(|r| r.id == person);
        lanes.insert(u32::from(lane), own.filter(|r| r.source.is_none()));
    };
    for event in &logged.events {
        match &event.what {
            What::Opened { plan } => {
                for lane in &plan.lanes {
                    put(lane.lane, &lane.person);
                }
            }
            What::Joined { runner } => put(runner.lane, &runner.person),
            _ => {}
        }
    }
    lanes.values().any(Option::is_some).then(|| Listed {
        name: logged.wave.name.clone(),
        held: 0,
        place: "lane",
        lines: lanes
            .into_iter()
            .map(|(place, runner)| Line { place, runner })
            .collect(),
    })
}
