//! The sheets as a club's staff would have written them: rows, warts, layouts, files.
//! Headings differ between seasons; the same cells stand below them.

use plimsoll_judge::StopReason;
use plimsoll_ladder::Ladder;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook};

use super::club::PLAYERS;
use super::days::{Day, Staff};
use super::model::Line;
use super::warts::{Kind, planted};

/// A kind of cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell {
    Bib,
    Name,
    Trial,
    Level,
    Distance,
    Time,
    Reason,
    Sleep,
    Meal,
    Caffeine,
    Shoes,
    Notes,
}

/// Every cell of a row, by kind, as written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Row([String; 12]);

impl Row {
    /// Returns a cell.
    pub fn get(&self, cell: Cell) -> &str {
        &self.0[cell as usize]
    }

    fn set(&mut self, cell: Cell, text: impl Into<String>) {
        self.0[cell as usize] = text.into();
    }
}

type Columns = &'static [(&'static str, Cell)];

/// Returns the columns of a season's layout.
pub const fn columns(staff: Staff) -> Columns {
    match staff {
        Staff::First => &[
            ("Player", Cell::Name),
            ("Level", Cell::Level),
            ("Distance (m)", Cell::Distance),
            ("Why stopped", Cell::Reason),
            ("Notes", Cell::Notes),
        ],
        Staff::Second | Staff::Workbook => &[
            ("Athlete", Cell::Name),
            ("Last level", Cell::Level),
            ("Metres", Cell::Distance),
            ("Stop reason", Cell::Reason),
            ("Sleep (h)", Cell::Sleep),
            ("Last meal (h)", Cell::Meal),
            ("Remarks", Cell::Notes),
        ],
        Staff::Borrowed => &[
            ("Name", Cell::Name),
            ("Stufe", Cell::Level),
            ("Strecke", Cell::Distance),
            ("Grund", Cell::Reason),
            ("Schlaf (h)", Cell::Sleep),
            ("Bemerkung", Cell::Notes),
        ],
        Staff::Third => &[
            ("Bib", Cell::Bib),
            ("Player", Cell::Name),
            ("Trial", Cell::Trial),
            ("Level", Cell::Level),
            ("Distance (m)", Cell::Distance),
            ("Time", Cell::Time),
            ("Why stopped", Cell::Reason),
            ("Sleep (h)", Cell::Sleep),
            ("Last meal (h)", Cell::Meal),
            ("Caffeine", Cell::Caffeine),
            ("Shoes", Cell::Shoes),
            ("Notes", Cell::Notes),
        ],
    }
}

/// Returns the rows of a day in the order of its sheet, warts in place.
pub fn rows(day: &Day, ladder: &Ladder, lines: &[Line]) -> Vec<Row> {
    let mut rows: Vec<(usize, Row)> = lines
        .iter()
        .map(|line| (line.number, row(day, ladder, line)))
        .collect();
    for (i, player) in PLAYERS.iter().enumerate() {
        if planted(day.on, player.name) == Some(Kind::ZeroForAbsent) {
            let mut zero = Row::default();
            zero.set(Cell::Name, player.name);
            zero.set(Cell::Level, "0");
            zero.set(Cell::Distance, "0");
            rows.push((i + 1, zero));
        }
    }
    rows.sort_by_key(|(number, _)| *number);
    let mut rows: Vec<Row> = rows.into_iter().map(|(_, row)| row).collect();
    if day.staff == Staff::Workbook {
        let family = |row: &Row| {
            row.get(Cell::Name)
                .split(' ')
                .next_back()
                .map(str::to_owned)
        };
        rows.sort_by_key(family);
    }
    rows
}

/// Returns the row of a line as written.
fn row(day: &Day, ladder: &Ladder, line: &Line) -> Row {
    let mut row = Row::default();
    row.set(Cell::Bib, line.number.to_string());
    let name = match day.staff {
        Staff::Borrowed => line.player.name_in_windows_1252(),
        _ => line.player.name,
    };
    row.set(Cell::Name, name);
    row.set(Cell::Trial, "1");
    row.set(Cell::Level, line.bout.label.clone());
    row.set(Cell::Distance, metres(&line.bout));
    let (minutes, seconds) = (line.stopped_s / 60, line.stopped_s % 60);
    row.set(Cell::Time, format!("{minutes}:{seconds:02}"));
    row.set(Cell::Reason, word(day.staff, line.reason));
    row.set(Cell::Sleep, format!("{:.1}", line.arrival.sleep_h));
    row.set(Cell::Meal, format!("{:.1}", line.arrival.meal_h));
    row.set(
        Cell::Caffeine,
        if line.arrival.caffeine { "yes" } else { "no" },
    );
    row.set(Cell::Shoes, if day.indoor { "flat" } else { "studs" });
    row.set(Cell::Notes, line.arrival.note);
    match planted(day.on, line.player.name) {
        Some(Kind::CountedOn) => row.set(Cell::Level, "14.10"),
        Some(Kind::OneBoutFurther) => {
            let next = ladder.by_number(line.bout.number + 1);
            row.set(Cell::Distance, next.map(metres).unwrap_or_default());
        }
        Some(Kind::Spelt(name)) => row.set(Cell::Name, name),
        Some(Kind::Stop(..) | Kind::ZeroForAbsent) | None => {}
    }
    row
}

fn metres(bout: &plimsoll_ladder::Bout) -> String {
    format!("{:.0}", bout.distance.as_m_f64())
}

/// Returns the word a season's staff wrote for a reason.
fn word(staff: Staff, reason: StopReason) -> &'static str {
    match (staff, reason) {
        (Staff::First, StopReason::Misses) => "2 misses",
        (Staff::First | Staff::Borrowed, StopReason::Exhaustion) => "tired",
        (Staff::Second | Staff::Workbook, StopReason::Exhaustion) => "exhausted",
        _ => reason.as_str(),
    }
}

/// Returns the bytes of a day's file.
pub fn file(day: &Day, rows: &[Row]) -> std::io::Result<Vec<u8>> {
    let written = match day.staff {
        Staff::Workbook => return workbook(day, rows).map_err(std::io::Error::other),
        Staff::Borrowed => text(day.staff, rows, b';')?,
        _ => return text(day.staff, rows, b','),
    };
    // The borrowed template has decimal commas and the letters of an old laptop.
    let written = String::from_utf8_lossy(&written);
    Ok(encoding_rs::WINDOWS_1252.encode(&written).0.into_owned())
}

fn text(staff: Staff, rows: &[Row], separator: u8) -> std::io::Result<Vec<u8>> {
    let mut out = csv::WriterBuilder::new()
        .delimiter(separator)
        .from_writer(Vec::new());
    out.write_record(columns(staff).iter().map(|(head, _)| *head))?;
    for row in rows {
        out.write_record(columns(staff).iter().map(|(_, cell)| match (staff, cell) {
            (Staff::Borrowed, Cell::Level | Cell::Sleep) => row.get(*cell).replace('.', ","),
            _ => row.get(*cell).to_owned(),
        }))?;
    }
    out.into_inner().map_err(|e| e.into_error())
}

/// Returns a workbook whose labels are text and whose numbers are numbers.
fn workbook(day: &Day, rows: &[Row]) -> Result<Vec<u8>, rust_xlsxwriter::XlsxError> {
    let mut book = Workbook::new();
    let (year, month, of_month) = (
        day.on.year().unsigned_abs(),
        day.on.month().unsigned_abs(),
        day.on.day().unsigned_abs(),
    );
    let made = ExcelDateTime::from_ymd(year, month, of_month)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let sheet = book.add_worksheet();
    sheet.set_name("Results")?;
    for (c, (head, cell)) in (0_u16..).zip(columns(day.staff)) {
        sheet.write_string(0, c, *head)?;
        for (r, row) in (1_u32..).zip(rows) {
            let written = row.get(*cell);
            match (cell, written.parse::<f64>()) {
                (Cell::Distance | Cell::Sleep | Cell::Meal, Ok(number)) => {
                    sheet.write_number(r, c, number)?
                }
                _ if written.is_empty() => continue,
                _ => sheet.write_string(r, c, written)?,
            };
        }
    }
    book.save_to_buffer()
}
