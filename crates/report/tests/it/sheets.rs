//! The sheets of a day as a reader of the paper sees them: what stands on which, and what does not.

use plimsoll_report::{
    DaySheets, EmergencyPlan, Participation, RenderedPdf, ReportError, Runner, Sheet, SheetOptions,
    Sheets, render_sheets_pdf,
};

use crate::fixture::{DAY, NAMES};
use crate::sheet_day::sheets;
use crate::tools::Printed;

pub fn print(day: &DaySheets, sheets: Sheets) -> Result<RenderedPdf, ReportError> {
    let mut options = SheetOptions::new(DAY.at(9, 0, 0, 0));
    options.sheets = sheets;
    render_sheets_pdf(day, &options)
}

/// Text of the sheets asked for, in one line.
pub fn text(day: &DaySheets, sheets: Sheets) -> String {
    let pdf = print(day, sheets).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    let text = Printed::new(&pdf).in_file_order();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub fn rhea() -> Sheets {
    Sheets::Assessor {
        wave: "1".to_owned(),
        assessor: "Rhea Gorse".to_owned(),
    }
}

fn kind(sheet: Sheet) -> Sheets {
    Sheets::Kinds(vec![sheet])
}

#[test]
fn the_booklet_holds_every_sheet_in_order_and_keeps_the_standards() {
    let pdf = print(&sheets(), Sheets::All).expect("it prints");
    assert!(
        pdf.conforms && pdf.warnings.is_empty(),
        "{:?}",
        pdf.warnings
    );
    let text = Printed::new(&pdf).all();
    let mut at = 0;
    for part in [
        "Arrival check",
        "Slips for the medic",
        "Emergency",
        "Briefing, read aloud",
        "Rules of the day",
        "Lead · wave 1",
        "Wave 1 · Rhea Gorse",
        "Wave 1 · Tam Fallow",
        "Assess wave 1",
    ] {
        let found = text[at..].find(part);
        at += found.unwrap_or_else(|| panic!("`{part}` is not in order"));
    }
    let info = Printed::new(&pdf).info();
    assert!(info.contains("Tagged:          yes"), "{info}");
    assert!(info.contains("Wed Nov 25 09:00:00 2026 UTC"), "{info}");
}

#[test]
fn the_same_day_gives_the_same_bytes() {
    let first = print(&sheets(), Sheets::All).expect("it prints").bytes;
    assert!(first == print(&sheets(), Sheets::All).expect("it prints").bytes);
    let later = SheetOptions::new(DAY.at(10, 0, 0, 0));
    let later = render_sheets_pdf(&sheets(), &later).expect("it prints");
    assert!(first != later.bytes);
}

#[test]
fn an_assessors_sheet_says_who_where_what_and_how_to_mark_it() {
    let text = text(&sheets(), rhea());
    for part in [
        "Wave 1 · Rhea Gorse",
        "Start 17:40 · 25 Nov 2026 · Harbour Lane, pitch 2",
        "You stand: far line, sun at your back",
        "ladder inv91 · fingerprint 3fa91c7b",
        "13 Kai Linnet submaximal: stop at 6 min",
        "15 Quin Plover modified",
        "17 Uma Vetch not today",
        "does not run",
        "Last bout COMPLETED",
        "E exhausted, chose to stop · M misses",
        "When unsure of a miss: no call.",
        "Stop anybody at once for:",
        "16.3 3 640 15.5 32:38",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
    assert!(!text.contains("3fa91c7be2"), "only the short fingerprint");
    for other in &NAMES[8..] {
        assert!(!text.contains(other), "{other} runs for somebody else");
    }
    assert!(!text.contains("Tam Fallow"));
}

#[test]
fn the_boxes_follow_the_miss_rule_of_the_ladder() {
    let mut day = sheets();
    day.assessors[0].runners.truncate(1);
    let boxes = |day: &DaySheets| {
        let text = text(day, rhea());
        let row = text.split("full").nth(1).expect("the row").to_owned();
        row.split(" E ")
            .next()
            .expect("the rings")
            .trim()
            .to_owned()
    };
    for (limit, expected) in [
        (0, "no miss rule"),
        (1, "stop"),
        (2, "1 stop"),
        (3, "1 2 stop"),
        (9, "stop at 9"),
    ] {
        day.ladders[0].miss_limit = limit;
        assert_eq!(boxes(&day), expected, "limit {limit}");
    }
}

#[test]
fn no_reason_for_a_changed_form_can_reach_a_sheet() {
    // Every field is named: a new one does not compile here until somebody has looked at it.
    let Runner {
        lane: _,
        bib: _,
        name: _,
        participation,
    } = sheets().assessors[0].runners[2].clone();
    assert_eq!(participation, Participation::Submaximal { stop_at_min: 6 });
    let mut day = serde_json::to_value(sheets()).expect("it is plain data");
    for key in ["reason", "note", "diagnosis"] {
        day["assessors"][0]["runners"][2][key] = "wheezy".into();
        day["waves"][0]["runners"][2][key] = "wheezy".into();
        day["arrival"]["people"][2][key] = "wheezy".into();
    }
    let day: DaySheets = serde_json::from_value(day).expect("further keys are left out");
    assert_eq!(day, sheets());
    assert!(!text(&day, Sheets::All).contains("wheezy"));
}

#[test]
fn health_is_asked_on_the_slips_and_never_on_the_groups_list() {
    let group = text(&sheets(), kind(Sheet::ArrivalGroup));
    let slips = text(&sheets(), kind(Sheet::ArrivalSlips));
    for question in [
        "Ill now",
        "Sore or hurt",
        "Medicine taken",
        "hand to the medic",
    ] {
        assert!(
            !group.contains(question),
            "`{question}` on the group's list"
        );
        assert_eq!(slips.matches(question).count(), 28, "{question}");
    }
    for column in ["Slept", "Last ate", "Caffeine", "Shoes as", "Ran this"] {
        assert!(group.contains(column), "`{column}`");
        assert!(!slips.contains(column), "`{column}`");
    }
    for name in NAMES {
        assert!(group.contains(name) && slips.contains(name), "{name}");
    }
}

#[test]
fn the_leads_sheet_has_room_for_what_is_written_on_the_day() {
    let text = text(&sheets(), kind(Sheet::Waves));
    for part in [
        "Lead Maud Hollis",
        "Tam Fallow (lanes 9 to 16, far line)",
        "Interruptions",
        "Resumed",
        "Before: 20.02 m, taped twice",
        "Diagonals",
        "Signed",
        "Read back: started, scored, lower bounds, not started",
        "Planned to start: 23, not today: 1.",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
}

#[test]
fn rules_carry_their_tags_and_settings() {
    let text = text(&sheets(), kind(Sheet::Rules));
    for part in [
        "misses add up. from memory S01",
        "over the line at the cue. Later than that is a miss. common practice, no source",
        "countdown 5 s",
        "When unsure: no call.",
        "Hand signals, agreed by the lead",
        "S02: an invented citation",
    ] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
}

#[test]
fn a_briefing_says_how_long_it_takes_and_warns_when_it_is_too_long() {
    let mut day = sheets();
    let short = text(&day, kind(Sheet::Briefing));
    assert!(short.contains("184 words, about 74 s"), "{short}");
    assert!(short.contains("open to anyone without a reason: six minutes at the same pace"));
    assert!(short.contains("Fit to start?") && short.contains("Own wording"));
    let script = day.briefing.as_mut().expect("there is one");
    script.paragraphs.push("again ".repeat(60));
    let pdf = print(&day, kind(Sheet::Briefing)).expect("it prints");
    assert_eq!(
        pdf.warnings,
        ["the briefing has 244 words and takes about 98 s to read; 90 s are customary: shorten it"]
    );
    let long = text(&day, kind(Sheet::Briefing));
    assert!(long.contains("longer than the customary 90 s"), "{long}");
}

#[test]
fn the_emergency_card_prints_what_is_known_and_lines_for_the_rest() {
    let mut day = sheets();
    let known = text(&day, kind(Sheet::Emergency));
    for part in [
        "Call 000 (invented)",
        "Leads Maud Hollis",
        "club house, left of the door, green box",
        "1 min 50 s",
        "There and back is 3 min 40 s",
        "cool first, transport second",
        "you are not sure",
        "a second person goes down",
    ] {
        assert!(known.contains(part), "`{part}` in {known}");
    }
    day.emergency = Some(EmergencyPlan {
        aed_walk_s: Some(45),
        ..EmergencyPlan::default()
    });
    let empty = text(&day, kind(Sheet::Emergency));
    for label in [
        "Leads",
        "Calls",
        "Opens the gate",
        "Exact address",
        "Grid reference",
        "Notes",
    ] {
        assert!(empty.contains(label), "`{label}`");
    }
    assert!(!empty.contains("There and back"), "45 s are near enough");
}

#[test]
fn faults_of_the_input_name_the_place_and_the_way_on() {
    let mut day = sheets();
    let other = Sheets::Wave("7".to_owned());
    let error = print(&day, other).expect_err("there is no such wave");
    assert_eq!(
        error.to_string(),
        "no sheet to print: Wave(\"7\"); the day has the waves [\"1\"] with the assessors [\"wave \
         1, Rhea Gorse\", \"wave 1, Tam Fallow\"], ask for one of them or for other kinds of sheet"
    );
    day.assessors[0].ladder = "inv92".to_owned();
    let error = print(&day, rhea()).expect_err("there is no such ladder");
    assert_eq!(
        error.to_string(),
        "the sheet of assessor `Rhea Gorse` for wave `1` refers to the ladder `inv92`; the day's \
         ladders are [\"inv91\", \"inv247\"]: pass its strip along or correct the id"
    );
    for (url, found) in [
        (String::new(), "no address"),
        ("http://a b".to_owned(), "the letter U+0020 in its address"),
        (
            format!("http://{}", "a".repeat(300)),
            "an address of 307 letters",
        ),
    ] {
        day.join[0].url = url;
        let error = print(&day, kind(Sheet::Join)).expect_err("no phone opens it");
        let start = format!("the join page `Assess wave 1` has {found}; allowed are 1 to 300");
        assert!(error.to_string().starts_with(&start), "{error}");
    }
}
