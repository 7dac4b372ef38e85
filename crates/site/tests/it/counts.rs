//! How many rose and fell is one count: page, paragraph, title, PDF, workbook and table agree.

use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use std::process::Command;

use calamine::{Data, Reader, Xlsx, open_workbook_from_rs};
use jiff::civil::Date;
use plimsoll_archive::{Archive, DayId};
use plimsoll_desk::{Choices, day_report};
use plimsoll_report::{
    Cards, CsvOptions, DayReport, RenderOptions, Tally, Way, lead_paragraph, render_csv,
    render_pdf, render_xlsx,
};

use crate::support::{Site, add_squad};

/// Bouts that scatter about what a person can do, the same each time.
fn usual(person: usize, day: i64) -> u32 {
    let mixed = (person as u64 * 31 + day as u64 * 17 + 5).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (25 + 2 * person as i64 + (mixed >> 40) as i64 % 5 - 2).max(1) as u32
}

/// A day on which two rose by much, two fell by much, one ran for the first time.
fn mixed(person: usize, day: i64) -> Option<u32> {
    let bouts = usual(person, day);
    match (person, day) {
        (0 | 1, 5) => Some(bouts + 20),
        (8 | 9, 5) => Some(bouts / 2),
        (13, 0..=4) => None,
        _ => Some(bouts),
    }
}

/// A day on which everybody ran far further, as on a course that is too short.
fn shifted(person: usize, day: i64) -> Option<u32> {
    Some(usual(person, day) + if day == 5 { 16 } else { 0 })
}

fn of_day(bouts: fn(usize, i64) -> Option<u32>) -> (Site, DayId, DayReport) {
    let mut days = Vec::new();
    let site = Site::filled_with(|writer| days = add_squad(writer, 14, 6, bouts));
    let archive = Archive::open_reader(site.folder.path().join("archive")).expect("opens");
    let day = archive.day(days[5]).expect("reads").expect("there");
    let report = day_report(
        &archive,
        &plimsoll_ladder::Catalogue::built_in(),
        &plimsoll_interpret::Catalogue::built_in().expect("shipped"),
        &day,
        &Choices::default(),
    );
    (site, days[5], report.expect("a report"))
}

type Counted = BTreeMap<String, usize>;

fn counted(words: impl Iterator<Item = String>) -> Counted {
    let mut all = Counted::new();
    for word in words {
        *all.entry(word).or_default() += 1;
    }
    all
}

fn of_tally(tally: &Tally) -> Counted {
    let n = [
        tally.better,
        tally.worse,
        tally.same,
        tally.unclear,
        tally.cut_short,
        tally.first,
    ];
    let pairs = Way::ALL.iter().zip(n).filter(|(_, n)| *n > 0);
    pairs.map(|(way, n)| (way.as_str().to_owned(), n)).collect()
}

fn in_table(report: &DayReport) -> Counted {
    let tables = render_csv(report, CsvOptions::default()).expect("written");
    let mut reader = csv::Reader::from_reader(tables.rows.as_bytes());
    let header = reader.headers().expect("a header").clone();
    let at = header.iter().position(|h| h == "moved").expect("a column");
    counted(reader.records().map(|r| r.expect("a row")[at].to_owned()))
}

fn in_workbook(report: &DayReport) -> Counted {
    let bytes = render_xlsx(report).expect("written");
    let mut book: Xlsx<_> = open_workbook_from_rs(Cursor::new(bytes)).expect("read back");
    let range = book.worksheet_range("Level").expect("the sheet");
    let at = range.rows().next().and_then(|row| {
        row.iter()
            .position(|c| *c == Data::String("Moved".to_owned()))
    });
    let at = at.expect("a column");
    counted(range.rows().skip(1).map(|row| row[at].to_string()))
}

/// The text of the coach's page in one line, spaces as spaces.
fn in_print(report: &DayReport) -> String {
    let options = RenderOptions {
        cards: Cards::None,
        ..RenderOptions::new(Date::constant(2026, 11, 14).at(18, 0, 0, 0))
    };
    let pdf = render_pdf(report, &options).expect("printed");
    let mut file = tempfile::NamedTempFile::new().expect("a file");
    file.write_all(&pdf.bytes).expect("written");
    let ran = Command::new("pdftotext").arg(file.path()).arg("-").output();
    plain(&String::from_utf8_lossy(
        &ran.expect("poppler's pdftotext").stdout,
    ))
}

fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ")
}

async fn all_agree(site: &Site, day: DayId, report: &DayReport) {
    let expected = of_tally(&report.tally());
    assert_eq!(in_table(report), expected);
    assert_eq!(in_workbook(report), expected);
    let page = site.get(&format!("/results/{day}"), None).await;
    let marks = page.text.split("<tr data-moved=\"").skip(1);
    let rows = counted(marks.filter_map(|rest| rest.split('"').next().map(str::to_owned)));
    assert_eq!(rows, expected);
    let lead = lead_paragraph(report);
    for text in [&lead, &report.title] {
        assert!(page.text.contains(text.as_str()), "{text}\n{}", page.text);
        let printed = in_print(report);
        assert!(printed.contains(&plain(text)), "{text}\n{printed}");
    }
    // What a line says of its level is what is counted.
    for line in &report.athletes {
        let way = report.moved(&line.id).expect("a move").way;
        if let Some(level) = line.level.as_ref().filter(|_| !line.lower_bound) {
            assert_eq!(level.verdict.contains("higher"), way == Way::Better);
            assert_eq!(level.verdict.contains("lower"), way == Way::Worse);
        }
    }
}

#[tokio::test]
async fn rises_and_falls_are_counted_once_for_every_output() {
    let (site, day, report) = of_day(mixed);
    let tally = report.tally();
    assert_eq!((tally.better, tally.worse, tally.first), (2, 2, 1));
    all_agree(&site, day, &report).await;
    let lead = lead_paragraph(&report);
    assert!(
        lead.contains(
            "By the level from all results, two have likely risen, two have likely fallen"
        ),
        "{lead}"
    );
    assert!(report.title.contains("two up, two down since October"));
    let falls: Vec<_> = report
        .decisions
        .iter()
        .filter(|d| {
            d.what
                .contains("level has likely fallen since 17 Oct 2026 (chance ")
        })
        .collect();
    assert_eq!(falls.len(), 2, "{:?}", report.decisions);
    assert!(
        falls
            .iter()
            .all(|d| d.choices.contains("sleep, illness, pain"))
    );
}

#[tokio::test]
async fn a_rise_of_the_whole_wave_is_nobodys_own() {
    let (site, day, report) = of_day(shifted);
    all_agree(&site, day, &report).await;
    let lead = lead_paragraph(&report);
    assert!(lead.contains("The whole wave ran about"), "{lead}");
    let rises = report
        .decisions
        .iter()
        .filter(|d| d.choices.starts_with("do not credit the rise"))
        .count();
    assert!(rises > 0, "{lead}");
    assert_eq!(rises, report.tally().better, "{:?}", report.decisions);
}
