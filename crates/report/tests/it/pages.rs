//! The pages as a reader of the PDF sees them.

use plimsoll_report::{
    Cards, RenderOptions, RenderedPdf, ReportError, render_cards_pdf, render_pdf,
};

use crate::fixture::{DAY, NAMES, day, roster};
use crate::tools::{Printed, Word};

fn options() -> RenderOptions<'static> {
    RenderOptions::new(DAY.at(20, 15, 0, 0))
}

fn coach() -> RenderedPdf {
    let options = RenderOptions {
        cards: Cards::None,
        ..options()
    };
    render_pdf(&day(), &options).expect("it prints")
}

#[test]
fn the_coach_page_starts_with_the_decisions_and_ends_with_the_sources() {
    let pdf = coach();
    assert!(pdf.conforms && pdf.replaced.is_empty() && pdf.warnings.is_empty());
    assert!(
        (1..=3).contains(&pdf.pages),
        "{} pages for 26 athletes",
        pdf.pages
    );
    let text = Printed::new(&pdf).all();
    let mut at = 0;
    for part in [
        "Harbour Lane juniors",
        "26 athletes ran; 25 have a full result, 1 is known only as “at least”.",
        "Needs a decision",
        "Change, with its doubt",
        "How sure is this?",
        "The squad today",
        "All results, in alphabetical order",
        "Held back",
        "Cautions",
        "Where the numbers come from",
        "Sources",
    ] {
        let flat = text.replace('\n', " ");
        let found = flat[at..]
            .find(part)
            .unwrap_or_else(|| panic!("`{part}` is not in order"));
        at += found;
    }
    assert!(text.contains("secondary source read") && text.contains("measured"));
    assert!(text.contains("page 1 of 3"), "{text}");
}

#[test]
fn labels_numbers_and_bounds_are_written_as_they_are() {
    let text = Printed::new(&coach()).all();
    for part in [
        "14.10",
        "at least 1 120 m",
        "−240 m (−450 to −30 m)",
        "15.0 km/h",
        "1 600 m",
    ] {
        assert!(text.contains(part), "`{part}`");
    }
}

#[test]
fn the_results_are_alphabetical_and_have_no_place_column() {
    let text = Printed::new(&coach()).all();
    let table = text
        .split("All results, in alphabetical order")
        .nth(1)
        .expect("the table");
    let place = |name: &str| table.find(name).unwrap_or_else(|| panic!("{name}"));
    assert!(place("Åke Tarn") < place("Ana Rowan"));
    assert!(place("Ana Rowan") < place("Bea Sorrel") && place("Tove Birk") < place("Uma Vetch"));
    for word in ["Rank", "rank", "Place", "1st"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn a_card_holds_its_own_athlete_and_nobody_else() {
    let report = day();
    for (i, line) in report.athletes.iter().enumerate().step_by(5) {
        let mut options = options();
        options.cards = Cards::Only(vec![line.id.clone()]);
        let pdf = render_cards_pdf(&report, &options).expect("it prints");
        let text = Printed::new(&pdf).all();
        assert_eq!(pdf.pages, 1);
        assert!(text.contains(&line.name));
        for (j, other) in NAMES.iter().enumerate() {
            let words = other.split(' ').filter(|w| i != j && w.len() > 3);
            for word in words {
                let own = line.how.contains(word) || line.name.contains(word);
                assert!(
                    own || !text.contains(word),
                    "{word} on the card of {}",
                    line.name
                );
            }
        }
    }
}

#[test]
fn cards_stand_two_on_a_page_and_say_it_in_plain_words() {
    let pdf = render_cards_pdf(&day(), &options()).expect("it prints");
    assert_eq!(pdf.pages, 13, "26 cards, two on a page");
    let printed = Printed::new(&pdf);
    let text = printed.all().replace('\n', " ");
    for part in [
        "The run was cut short, so your result is known only as at least 1 120 m",
        "You reached the end of the test",
        "There is no earlier result to compare with yet.",
        "Out of 100 such cases about",
        "Next step",
        "At least +40 m against your last test",
    ] {
        assert!(text.contains(part), "`{part}`");
    }
    for word in ["unfit", "fail", "rank", "team-mate"] {
        assert!(!text.contains(word), "{word}");
    }
}

#[test]
fn a_cut_short_run_gets_no_chances_as_if_it_were_exact() {
    let mut options = options();
    options.cards = Cards::Only(vec!["a09".to_owned()]);
    let pdf = render_cards_pdf(&day(), &options).expect("it prints");
    let text = Printed::new(&pdf).all();
    assert!(
        text.contains("Ivo Larch") && text.contains("cut short"),
        "{text}"
    );
    assert!(!text.contains("Out of 100"), "{text}");
}

#[test]
fn a_card_with_much_to_say_gets_the_room_it_needs() {
    let mut report = day();
    report.athletes.truncate(3);
    let line = &mut report.athletes[1];
    let estimate = line.estimates[0].clone();
    line.estimates = vec![estimate; 40];
    let pdf = render_cards_pdf(&report, &options()).expect("it prints");
    let printed = Printed::new(&pdf);
    on_the_page(&printed);
    assert_eq!(printed.all().matches("Estimated oxygen uptake").count(), 42);
}

#[test]
fn forty_athletes_with_very_long_names_overflow_nothing() {
    let names: Vec<String> = (0..40)
        .map(|i| match i % 3 {
            0 => format!("Wilhelmina-Featherstone{i:02} Ottoline Marchmeadow-Underwillow Birk"),
            1 => format!(
                "{}{i:02}",
                "Llanfairwillowmeadowreedbankalderosiersedge".repeat(2)
            ),
            _ => format!("Ποταμίσιος{i:02} Θαλασσινός-Λιμνοθαλασσίτης Καλαμιώτης Νερόκρινος"),
        })
        .map(|name| name.chars().take(60).collect())
        .collect();
    assert!(names.iter().all(|n| n.chars().count() >= 58));
    let pdf = render_pdf(&roster(&names), &options()).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    let printed = Printed::new(&pdf);
    let words = on_the_page(&printed);
    no_overlap(&words);
    for name in &names {
        let first = name.split([' ', '-']).next().expect("a first word");
        let head: String = first.chars().take(11).collect();
        assert!(words.iter().any(|w| w.text.contains(&head)), "{name}");
    }
}

/// Room that a box may stick out beyond the text area: the boxes of poppler are those of the
/// fonts' own ascent and side bearings, points.
const BEARING: f64 = 1.0;

fn on_the_page(printed: &Printed) -> Vec<Word> {
    let (words, (width, height)) = printed.words();
    assert!(words.len() > 50, "{} words", words.len());
    let margin = 13.75 / 25.4 * 72.0;
    for word in &words {
        let inside = word.left >= margin - BEARING
            && word.right <= width - margin + BEARING
            && word.top >= 0.0
            && word.bottom <= height;
        assert!(inside, "{word:?} leaves the page of {width} × {height}");
    }
    words
}

/// Words on one line may touch but not lie on each other.
pub fn no_overlap(words: &[Word]) {
    let mut compared = 0;
    for (i, a) in words.iter().enumerate() {
        for b in words[i + 1..].iter().filter(|b| b.page == a.page) {
            let (ay, by) = ((a.top + a.bottom) / 2.0, (b.top + b.bottom) / 2.0);
            let high = (a.bottom - a.top).min(b.bottom - b.top);
            if (ay - by).abs() > high * 0.4 {
                continue;
            }
            compared += 1;
            let shared = a.right.min(b.right) - a.left.max(b.left);
            assert!(shared <= BEARING, "{a:?} and {b:?} lie on each other");
        }
    }
    assert!(compared > 500, "{compared} pairs compared");
}

#[test]
fn the_same_report_gives_the_same_bytes() {
    let mut report = day();
    report.athletes.truncate(4);
    let first = render_pdf(&report, &options()).expect("it prints").bytes;
    let again = render_pdf(&report, &options()).expect("it prints").bytes;
    assert!(first == again);
    let later = RenderOptions::new(DAY.at(21, 0, 0, 0));
    assert!(render_pdf(&report, &later).expect("it prints").bytes != first);
}

#[test]
fn the_file_is_tagged_titled_and_carries_the_given_date() {
    let info = Printed::new(&coach()).info();
    assert!(
        info.contains("Title:           Harbour Lane juniors"),
        "{info}"
    );
    assert!(info.contains("Tagged:          yes"), "{info}");
    assert!(
        info.contains("CreationDate:    Wed Nov 25 20:15:00 2026 UTC"),
        "{info}"
    );
}

#[test]
fn nothing_asked_for_is_an_error_that_says_what_to_ask_for() {
    let mut options = options();
    options.coach = false;
    options.cards = Cards::Only(vec!["nobody".to_owned()]);
    let error = render_pdf(&day(), &options).expect_err("nothing to print");
    assert!(matches!(
        error,
        ReportError::NothingToPrint { athletes: 26, .. }
    ));
    assert_eq!(
        error.to_string(),
        "nothing to print: no coach page and cards Only([\"nobody\"]); ask for the coach page, or \
         for cards of at least one of the report's 26 athletes"
    );
}

#[test]
fn an_almost_empty_day_still_prints() {
    let mut report = day();
    report.athletes.clear();
    report.decisions.clear();
    report.held.clear();
    report.sources.clear();
    report.title = "  ".to_owned();
    report.how_sure = String::new();
    let pdf = render_pdf(&report, &options()).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    let text = Printed::new(&pdf).all();
    assert!(text.contains("Test day report"));
    assert!(text.contains("Nobody has an earlier result to be compared with."));
}

#[test]
fn text_that_looks_like_markup_is_printed_as_text() {
    let mut report = day();
    report.athletes.truncate(2);
    let odd = "#import <a> $x$ *bold* _raw_ \\ @ref // note [link](x) \"q\"";
    report.athletes[0].name = odd.to_owned();
    report.how_sure = odd.to_owned();
    let text = Printed::new(&render_pdf(&report, &options()).expect("it prints")).all();
    let text = text.replace('\n', " ");
    assert!(
        text.contains("#import <a> $x$ *bold* _raw_ \\ @ref // note"),
        "{text}"
    );
}
