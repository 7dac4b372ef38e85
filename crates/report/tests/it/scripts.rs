//! Names in any script never stop a report.

use plimsoll_report::{
    Cards, RenderOptions, figure_change, render_cards_pdf, render_csv, render_pdf, render_xlsx,
};

use crate::fixture::{DAY, day, roster};
use crate::tools::Printed;

/// Invented names that the bundled fonts must print as they are.
pub const PRINTED: [&str; 16] = [
    "Žofie Křížová-Ångerød",
    "Nguyễn Thị Ánh Sông",
    "Łucja Świerk",
    "Ελένη Θαλασσινή",
    "Ђорђе Їжакевич",
    "ليلى النهر",
    "پگاه چمن",
    "שרה אלון",
    "अर्जुन नदीवाला",
    "李小明",
    "髙橋 さくら",
    "ツバメ タロウ",
    "김하늘",
    "Zoë ⚽ Moss",
    "Արամ Լճակ",
    "Ian O’Reed 🏃🏽‍♀️",
];

/// Invented names that hold letters no bundled font has.
const UNCOVERED: [(&str, &str); 4] = [
    ("\u{12000}\u{1223E} Reed", "[U+12000][U+1223E] Reed"),
    ("Bell \u{7}Moss", "Bell [U+0007]Moss"),
    ("Own \u{E000} Sign", "Own [U+E000] Sign"),
    (
        "สมชาย Dune",
        "[U+0E2A][U+0E21][U+0E0A][U+0E32][U+0E22] Dune",
    ),
];

fn names() -> Vec<String> {
    let uncovered = UNCOVERED.iter().map(|(name, _)| *name);
    PRINTED
        .into_iter()
        .chain(uncovered)
        .map(str::to_owned)
        .collect()
}

/// Letters of a text without spaces and marks of direction: the order of words in a line of mixed
/// direction is the reader's, the letters are ours.
pub fn letters(text: &str) -> String {
    let skip = |c: &char| {
        c.is_whitespace() || matches!(c, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}')
    };
    text.chars().filter(|c| !skip(c)).collect()
}

#[test]
fn a_roster_of_many_scripts_is_printed_with_the_standards_on() {
    let report = roster(&names());
    let pdf = render_pdf(&report, &RenderOptions::new(DAY.at(20, 0, 0, 0))).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    assert!(pdf.warnings.is_empty(), "{:?}", pdf.warnings);
    let text = Printed::new(&pdf).all();
    let found = letters(&text);
    for name in PRINTED {
        for word in name.split(' ') {
            assert!(
                found.contains(&letters(word)),
                "`{word}` of `{name}` is not in the text"
            );
        }
    }
    for (name, stand_in) in UNCOVERED {
        assert!(
            found.contains(&letters(stand_in)),
            "`{stand_in}` for {name:?} is not in the text"
        );
    }
}

#[test]
fn what_no_font_covers_is_listed_with_its_place_and_printed_at_the_end() {
    let report = roster(&names());
    let mut options = RenderOptions::new(DAY.at(20, 0, 0, 0));
    options.cards = Cards::None;
    let pdf = render_pdf(&report, &options).expect("it prints");
    let codes: Vec<&str> = pdf.replaced.iter().map(|r| r.codepoint.as_str()).collect();
    assert_eq!(
        codes,
        [
            "U+12000", "U+1223E", "U+0007", "U+E000", "U+0E2A", "U+0E21", "U+0E0A", "U+0E32",
            "U+0E22"
        ]
    );
    let first = &pdf.replaced[0];
    assert_eq!(first.person, "[U+12000][U+1223E] Reed");
    assert_eq!((first.field.as_str(), first.letter), ("name", '\u{12000}'));
    let last = Printed::new(&pdf).page(pdf.pages);
    assert!(last.contains("Letters that could not be printed"), "{last}");
    assert!(last.contains("U+1223E"), "{last}");
}

#[test]
fn the_list_of_letters_on_one_athletes_card_names_nobody_else() {
    let own = "Sol \u{12000}Heron".to_owned();
    let mut report = roster(&["Tove \u{1223E} Birk".to_owned(), own]);
    report.how_sure = "Uma Vetch \u{E000}".to_owned();
    report.decisions[0].person = "Kai \u{E001} Linnet".to_owned();
    let mut options = RenderOptions::new(DAY.at(20, 0, 0, 0));
    options.cards = Cards::Only(vec!["a01".to_owned()]);
    let pdf = render_cards_pdf(&report, &options).expect("it prints");
    let codes: Vec<&str> = pdf.replaced.iter().map(|r| r.codepoint.as_str()).collect();
    assert_eq!(codes, ["U+12000"]);
    let text = Printed::new(&pdf).all();
    assert!(text.contains("Letters that could not be printed"), "{text}");
    for other in ["Birk", "Vetch", "Linnet"] {
        assert!(!text.contains(other), "{other}: {text}");
    }
}

#[test]
fn cards_printed_together_hold_no_page_that_names_several_people() {
    let mut report = roster(&[
        "Tove \u{1223E} Birk".to_owned(),
        "Sol \u{12000} Heron".to_owned(),
    ]);
    report.decisions.clear();
    let options = RenderOptions::new(DAY.at(20, 0, 0, 0));
    let pdf = render_cards_pdf(&report, &options).expect("it prints");
    assert_eq!(pdf.replaced.len(), 2, "the caller still learns of them");
    let text = Printed::new(&pdf).all();
    assert!(
        text.contains("[U+12000]") && text.contains("[U+1223E]"),
        "{text}"
    );
    assert!(
        !text.contains("Letters that could not be printed"),
        "{text}"
    );
}

#[test]
fn odd_combinations_and_marks_of_direction_stop_nothing() {
    // Han and Latin letters with signs of other scripts, keycaps, joiners, lone marks, overrides.
    let names = [
        "\u{674E}\u{947}",
        "A\u{947}",
        "x\u{304}\u{302}",
        "1\u{FE0F}\u{20E3}",
        "\u{94D}",
        "\u{1F3FD}",
        "\u{200D}",
        "\u{5E9}\u{5B8}\u{5C1}\u{5DC}",
        "\u{1F1EC}",
        "\u{202E}abc",
        "\u{2066}abc",
        "a\u{AD}b",
        "\u{FEFF}abc",
        "\u{FFFD}",
        "\u{FFFF}",
        "",
        " ",
    ];
    let report = roster(&names.map(str::to_owned));
    let pdf = render_pdf(&report, &RenderOptions::new(DAY.at(20, 0, 0, 0))).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    let codes: Vec<&str> = pdf.replaced.iter().map(|r| r.codepoint.as_str()).collect();
    assert_eq!(
        codes,
        ["U+0947", "U+0947", "U+FFFF"],
        "signs without a font"
    );
    assert!(Printed::new(&pdf).all().contains("(no name, a15)"));
}

#[test]
fn a_number_that_is_no_number_does_not_switch_the_screening_off() {
    let mut report = roster(&["\u{12000} Reed".to_owned()]);
    report.athletes[0].history[0].value = f64::NAN;
    report.athletes[0].value = Some(f64::INFINITY);
    report.smallest_worthwhile.value = f64::NAN;
    let pdf = render_pdf(&report, &RenderOptions::new(DAY.at(20, 0, 0, 0))).expect("it prints");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    assert_eq!(pdf.replaced.len(), 1);
}

#[test]
fn right_to_left_letters_run_from_right_to_left() {
    let report = roster(&["\u{5D0}\u{5D1}\u{5D2}".to_owned(), "Sol Heron".to_owned()]);
    let mut options = RenderOptions::new(DAY.at(20, 0, 0, 0));
    options.cards = Cards::Only(vec!["a00".to_owned()]);
    options.coach = false;
    let pdf = render_pdf(&report, &options).expect("it prints");
    // poppler gives the logical order back only when the glyphs stand from right to left.
    assert!(letters(&Printed::new(&pdf).all()).contains("\u{5D0}\u{5D1}\u{5D2}"));
}

#[test]
fn an_extra_font_of_the_caller_is_used_and_a_broken_one_is_named() {
    let mut options = RenderOptions::new(DAY.at(20, 0, 0, 0));
    options.cards = Cards::None;
    let files = [notosans_italic(), b"broken".to_vec()];
    options.extra_fonts = &files;
    let pdf = render_pdf(&day(), &options).expect("it prints");
    assert!(pdf.conforms);
    assert_eq!(
        pdf.warnings,
        ["extra font 2 (6 bytes) is not a TTF, OTF or TTC font and was not used"]
    );
}

fn notosans_italic() -> Vec<u8> {
    notosans::ITALIC_TTF.to_vec()
}

#[test]
fn figures_tables_and_workbook_take_the_same_names() {
    let report = roster(&names());
    let figure = &figure_change(&report)[0];
    assert!(figure.svg.contains("अर्जुन नदीवाला") && figure.svg.contains("Bell \u{FFFD}Moss"));
    assert!(
        !figure.svg.contains('\u{7}'),
        "XML cannot hold control characters"
    );
    assert!(!render_xlsx(&report).expect("it writes").is_empty());
    let tables = render_csv(&report, Default::default()).expect("it writes");
    assert!(tables.rows.contains("\u{12000}\u{1223E} Reed"));
}
