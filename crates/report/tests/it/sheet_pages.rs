//! The sheets as laid out: what fits where, with long and odd names, and whether a phone reads them.

use plimsoll_report::{DaySheets, Sheet, Sheets};

use crate::fixture::NAMES;
use crate::pages::no_overlap;
use crate::scripts::{PRINTED, letters};
use crate::sheet_day::{assessor, sheets, strip, wave};
use crate::sheets::{print, rhea, text};
use crate::tools::Printed;

/// Margin of the paper, points, less the width of a line.
const MARGIN: f64 = 32.0;

/// Least room for the question and two lines by hand on a slip, points.
const WRITTEN: f64 = 48.0;

fn named(names: &[&str]) -> DaySheets {
    let mut day = sheets();
    day.waves = vec![wave(names)];
    day.assessors = vec![
        assessor("Rhea Gorse", "inv91", &names[..names.len().min(8)]),
        assessor("Tam Fallow", "inv247", names),
    ];
    let check = day.arrival.as_mut().expect("there is one");
    for (person, name) in check.people.iter_mut().zip(names) {
        (*name).clone_into(&mut person.name);
    }
    day
}

fn labels_in_order(text: &str, bouts: u32) {
    for bout in strip("any", bouts).bouts {
        let clock = plimsoll_report::clock(bout.finish_s);
        assert!(text.contains(&bout.label), "{}", bout.label);
        assert!(text.contains(&clock), "{clock} of {}", bout.label);
    }
}

#[test]
fn eight_lanes_and_91_bouts_stand_on_one_page() {
    let pdf = print(&sheets(), rhea()).expect("it prints");
    assert_eq!(pdf.pages, 1);
    labels_in_order(&Printed::new(&pdf).all(), 91);
    let (words, _) = Printed::new(&pdf).words();
    no_overlap(&words);
}

#[test]
fn a_ladder_of_247_bouts_has_the_back_of_the_sheet_to_itself() {
    let mut day = sheets();
    day.assessors.remove(0);
    let pdf = print(&day, Sheets::Kinds(vec![Sheet::Assessors])).expect("it prints");
    assert_eq!(
        pdf.pages, 2,
        "24 lanes on the front, the ladder on the back"
    );
    let printed = Printed::new(&pdf);
    for name in &NAMES[..24] {
        assert!(printed.page(1).contains(name), "{name}");
    }
    assert!(
        printed
            .page(2)
            .contains("Wave 1 · Tam Fallow · ladder inv247")
    );
    labels_in_order(&printed.page(2), 247);
    no_overlap(&printed.words().0);
}

#[test]
fn twelve_lanes_leave_no_room_so_the_ladder_takes_the_back_in_large_type() {
    let mut day = sheets();
    day.assessors[0] = assessor("Rhea Gorse", "inv91", &NAMES[..12]);
    let pdf = print(&day, rhea()).expect("it prints");
    assert_eq!(pdf.pages, 2);
    let printed = Printed::new(&pdf);
    let back = printed.page(2);
    assert!(
        back.contains("Wave 1 · Rhea Gorse · ladder inv91"),
        "{back}"
    );
    labels_in_order(&back, 91);
    let (words, (_, high)) = printed.words();
    let last = words.iter().filter(|w| w.page == 2 && w.text == "7.3");
    let lowest = last.map(|w| w.bottom).fold(0.0, f64::max);
    assert!(
        lowest > high * 0.5,
        "the rows fill the page, the last at {lowest}"
    );
}

#[test]
fn wide_labels_and_distances_do_not_lie_on_each_other() {
    let mut day = sheets();
    for ladder in &mut day.ladders {
        for (n, bout) in ladder.bouts.iter_mut().enumerate() {
            bout.label = format!("{}.{}", 10 + n / 12, 10 + n % 12);
            bout.distance_m += 20_000.5;
            bout.speed_kmh += 0.25;
            bout.finish_s += 6000.0;
        }
    }
    let pdf = print(&day, Sheets::Kinds(vec![Sheet::Assessors])).expect("it prints");
    let printed = Printed::new(&pdf);
    no_overlap(&printed.words().0);
    let text = printed.all();
    for part in ["17.16", "23 640.5", "10.25", "132:38"] {
        assert!(text.contains(part), "`{part}` in {text}");
    }
}

#[test]
fn a_ladder_too_long_for_a_page_goes_on_to_the_next_and_none_prints_none() {
    let mut day = sheets();
    day.ladders[0] = strip("inv91", 300);
    let pdf = print(&day, rhea()).expect("it prints");
    assert_eq!(pdf.pages, 3);
    let printed = Printed::new(&pdf);
    assert!(printed.page(2).contains("37.4") && !printed.page(2).contains("37.5"));
    assert!(printed.page(3).contains("37.5") && printed.page(3).contains("42.4"));
    day.ladders[0].bouts.clear();
    let text = text(&day, rhea());
    assert!(!text.contains("Tick each bout"), "{text}");
}

#[test]
fn a_wave_of_24_lanes_fits_the_leads_page() {
    let pdf = print(&sheets(), Sheets::Kinds(vec![Sheet::Waves])).expect("it prints");
    assert_eq!(pdf.pages, 1);
    no_overlap(&Printed::new(&pdf).words().0);
}

#[test]
fn the_longest_names_stay_in_their_rows() {
    let long: Vec<String> = (0..24)
        .map(|i| format!("Wilhelmina-Bartholomea{i} van der Uiterwaarden-Hagedoornskwartier zu Osterwiek-Moor"))
        .collect();
    let names: Vec<&str> = long.iter().map(String::as_str).collect();
    let usual = print(&sheets(), Sheets::All).expect("it prints").pages;
    let pdf = print(&named(&names), Sheets::All).expect("it prints");
    assert!(pdf.conforms && pdf.replaced.is_empty());
    assert_eq!(pdf.pages, usual, "no sheet grows");
    let printed = Printed::new(&pdf);
    let (words, (wide, _)) = printed.words();
    no_overlap(&words);
    for word in &words {
        assert!(word.left > MARGIN && word.right < wide - MARGIN, "{word:?}");
    }
    // On a slip the two lines to write on lie between these words, whatever the name.
    let tops = |text: &str| {
        let hits = words.iter().filter(|w| w.page == 2 && w.text == text);
        hits.map(|w| w.top).collect::<Vec<_>>()
    };
    let (asked, folded) = (tops("know:"), tops("Fold"));
    assert_eq!((asked.len(), folded.len()), (8, 8));
    for (above, below) in asked.iter().zip(&folded) {
        assert!(below - above > WRITTEN, "{above} to {below}");
    }
    let found = letters(&printed.in_file_order());
    for name in &names {
        assert!(found.matches(&letters(name)).count() >= 3, "{name}");
    }
}

#[test]
fn names_in_any_script_are_printed_and_the_rest_is_listed() {
    let mut names = PRINTED.to_vec();
    names.push("\u{12000} Reed");
    names.push("#import <a> $x$ *b*");
    names.push(" ");
    let pdf = print(&named(&names), Sheets::All).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    let codes: Vec<&str> = pdf.replaced.iter().map(|r| r.codepoint.as_str()).collect();
    assert!(
        !codes.is_empty() && codes.iter().all(|c| *c == "U+12000"),
        "{codes:?}"
    );
    let text = Printed::new(&pdf).all();
    let found = letters(&text);
    for word in PRINTED.iter().flat_map(|name| name.split(' ')) {
        let times = found.matches(&letters(word)).count();
        assert!(times >= 4, "`{word}` stands on {times} of 4 sheets or more");
    }
    assert!(text.contains("[U+12000] Reed") && text.contains("#import <a> $x$ *b*"));
    assert!(text.contains("(no name, bib 29)"), "a name without letters");
    assert!(text.contains("Letters that could not be printed"));
    // Rhea's own sheet holds none of them, so nothing is listed there.
    let own = print(&named(&names), rhea()).expect("it prints");
    assert!(own.replaced.is_empty(), "{:?}", own.replaced);
}

#[test]
fn an_almost_empty_day_and_numbers_that_are_none_still_print() {
    let mut day = sheets();
    day.title = " ".to_owned();
    day.venue = String::new();
    day.stop_letters.clear();
    day.assessors[0].runners.clear();
    day.assessors[0].start = String::new();
    day.ladders[0].bouts[0].distance_m = f64::NAN;
    day.ladders[0].bouts[0].finish_s = f64::INFINITY;
    day.waves[0].runners.clear();
    day.waves[0].staff.clear();
    day.rules[0].rules.clear();
    day.rules[0].settings.clear();
    let check = day.arrival.as_mut().expect("there is one");
    check.people.clear();
    check.spare = 200;
    let text = text(&day, Sheets::All);
    assert!(text.contains("Test day · 25 Nov 2026"), "{text}");
    assert!(text.contains("5.1 – 10.0 –"), "{text}");
    assert_eq!(text.matches("hand to the medic").count(), 60, "spare slips");
}

/// Dots an inch at which the printed page is looked at, as a phone's camera would.
const CAMERA: u32 = 100;

#[test]
fn a_camera_reads_the_address_off_the_page() {
    let long = format!("http://[2001:db8::17]:8080/join/1?t={}", "K7QX".repeat(60));
    for url in ["http://192.0.2.17:8080/join/1?t=K7QX", long.as_str()] {
        let mut day = sheets();
        url.clone_into(&mut day.join[0].url);
        let pdf = print(&day, Sheets::Kinds(vec![Sheet::Join])).expect("it prints");
        assert_eq!((pdf.pages, pdf.conforms), (1, true));
        let printed = Printed::new(&pdf);
        let (wide, high, greys) = printed.greys(1, CAMERA);
        let mut picture =
            rqrr::PreparedImage::prepare_from_greyscale(wide, high, |x, y| greys[y * wide + x]);
        let found = picture.detect_grids();
        assert_eq!(found.len(), 1, "one code on the page");
        let (_, read) = found[0].decode().expect("the code can be read");
        assert_eq!(read, url);
        assert!(letters(&printed.all()).contains(url), "it can be typed too");
        assert!(printed.all().contains("K7QX"));
    }
}
