//! The sheets as a club's staff would have written them, warts and all.

use std::path::Path;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError};

use super::club::{DAYS, Day, PLAYERS, Wart};
use super::model::Line;

/// Returns the roster: day/month/year, one date the other way round, one person twice.
pub fn roster() -> String {
    let mut out = String::from("Name,Date of birth,Sex,Squad,Club id\n");
    for (i, p) in PLAYERS.iter().enumerate() {
        let (d, m, y) = p.born;
        // Wart: month and day of one player are the other way round.
        let date = if p.name == "Mira Teal" {
            format!("{m:02}/{d:02}/{y}")
        } else {
            format!("{d:02}/{m:02}/{y}")
        };
        out.push_str(&format!(
            "{},{date},{},{},HL{:03}\n",
            p.name,
            p.sex,
            p.squad,
            i + 1
        ));
    }
    // Wart: the same person under a longer name, as a new season's list had it.
    out.push_str("Johanna Alder-Moss,28/11/2008,F,U19,HL031\n");
    out
}

/// Returns a day card.
pub fn card(day: &Day) -> String {
    let mut out = format!(
        "# What the sheet of this day does not say.\ntest = \"ir1\"\nname = \"Club test day\"\n\
         squad = \"Harbour Lane juniors\"\nvenue = \"{}\"\nsurface = \"{}\"\nindoor = {}\n\
         start_time = \"{}\"\ntemperature_c = {:.1}\nhumidity_percent = {:.0}\nwind_m_s = {:.1}\n\
         course_length_m = {:.2}\nencouragement = \"scripted\"\n",
        day.venue,
        day.surface,
        day.indoor,
        day.start,
        day.temperature_c,
        day.humidity,
        day.wind,
        day.course_m
    );
    if let Some(wbgt) = day.wbgt {
        out.push_str(&format!("wbgt_c = {wbgt:.1}\n"));
    }
    if day.wart == Wart::ShortCourse {
        out.push_str("deviation = \"course 20 cm short, found when it was taped afterwards\"\n");
    }
    if !day.note.is_empty() {
        out.push_str(&format!("notes = \"{}\"\n", day.note));
    }
    out
}

/// Returns the results of a day with its wart in place.
pub fn with_wart(day: &Day, lines: &[Line]) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = lines.iter().map(cells).collect();
    match day.wart {
        Wart::FourteenTen => {
            let at = lines.iter().position(|l| l.bout.label.starts_with("15."));
            if let Some(row) = at.and_then(|i| rows.get_mut(i)) {
                row[1] = "14.10".to_owned();
            }
        }
        Wart::ZeroForAbsent => {
            let missing = (0..PLAYERS.len())
                .find(|i| PLAYERS[*i].first_day < 8 && !lines.iter().any(|l| l.player == *i));
            if let Some(i) = missing {
                let name = PLAYERS[i].name.to_owned();
                rows.push(vec![
                    name,
                    "0".into(),
                    "0".into(),
                    String::new(),
                    String::new(),
                    String::new(),
                ]);
            }
        }
        Wart::Injury => injure(&mut rows, lines, "Rune Dunnock", "rolled ankle"),
        Wart::Today => {
            injure(&mut rows, lines, "Ivo Larch", "sore calf");
            if let Some(i) = lines
                .iter()
                .position(|l| PLAYERS[l.player].name == "Nils Moss")
            {
                // Wart: one bout too many in the distance.
                rows[i][2] = format!("{:.0}", lines[i].bout.distance.as_m_f64() + 40.0);
            }
            if let Some(i) = lines
                .iter()
                .position(|l| PLAYERS[l.player].name == "Tove Birk")
            {
                // Wart: a spelling that the roster does not have.
                rows[i][0] = "Tobe Birk".to_owned();
            }
        }
        Wart::None | Wart::OtherLadder | Wart::ShortCourse => {}
    }
    rows
}

/// Cuts one run short: about half as far, and why.
fn injure(rows: &mut [Vec<String>], lines: &[Line], name: &str, why: &str) {
    if let Some(i) = lines.iter().position(|l| PLAYERS[l.player].name == name) {
        rows[i][1] = "14.1".to_owned();
        rows[i][2] = "480".to_owned();
        rows[i][3] = "injury".to_owned();
        rows[i][4] = why.to_owned();
    }
}

fn cells(line: &Line) -> Vec<String> {
    vec![
        PLAYERS[line.player].name.to_owned(),
        line.bout.label.clone(),
        format!("{:.0}", line.bout.distance.as_m_f64()),
        line.reason.to_owned(),
        line.note.to_owned(),
        format!("{:.1}", line.sleep_h),
    ]
}

/// Returns a sheet with commas.
pub fn comma(rows: &[Vec<String>]) -> String {
    let mut out = String::from("Player,Level,Distance (m),Why stopped,Notes,Sleep (h)\n");
    for row in rows {
        out.push_str(&format!("{}\n", row.join(",")));
    }
    out
}

/// Returns a sheet with semicolons, decimal commas and a German head, in Windows-1252.
/// Names in other scripts cannot be written in that encoding, so those rows stand without them.
pub fn semicolon(rows: &[Vec<String>]) -> Vec<u8> {
    let mut out = String::from("Name;Stufe;Strecke (m);Grund;Schlaf (h)\n");
    for row in rows
        .iter()
        .filter(|r| !encoding_rs::WINDOWS_1252.encode(&r[0]).2)
    {
        let sleep = row[5].replace('.', ",");
        out.push_str(&format!(
            "{};{};{};{};{sleep}\n",
            row[0], row[1], row[2], row[3]
        ));
    }
    encoding_rs::WINDOWS_1252.encode(&out).0.into_owned()
}

/// Returns a workbook whose labels are text.
pub fn workbook(rows: &[Vec<String>]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(2026, 3, 14)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let sheet = book.add_worksheet();
    sheet.set_name("Results")?;
    for (c, head) in [
        "Player",
        "Level",
        "Distance (m)",
        "Why stopped",
        "Notes",
        "Sleep (h)",
    ]
    .iter()
    .enumerate()
    {
        sheet.write_string(0, u16::try_from(c).unwrap_or(0), *head)?;
    }
    for (r, row) in (1..).zip(rows) {
        for (c, cell) in (0_u16..).zip(row) {
            match (c, cell.parse::<f64>()) {
                (2 | 5, Ok(number)) => sheet.write_number(r, c, number)?,
                _ => sheet.write_string(r, c, cell)?,
            };
        }
    }
    book.save_to_buffer()
}

/// Returns today's sheet: with bibs, as it came off the clipboard.
pub fn today(lines: &[Line]) -> String {
    let day = &DAYS[DAYS.len() - 1];
    let mut out = String::from("Bib,Player,Level,Distance (m),Why stopped,Notes,Sleep (h)\n");
    for (row, line) in with_wart(day, lines).iter().zip(lines) {
        out.push_str(&format!("{},{}\n", line.bib, row.join(",")));
    }
    out
}

/// Writes a file, with its folder.
pub fn put(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder)?;
    }
    std::fs::write(path, bytes)
}
