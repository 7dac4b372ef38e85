//! The sound certificate: figure, page and workbook, with and without a recording.

use plimsoll_report::{
    Cards, DayReport, Figure, RenderOptions, RenderedPdf, SOUND_STRETCHES, SoundCertificate,
    SoundCue, SoundRecording, SoundSpan, SoundUnread, figure_sound, render_cards_pdf, render_pdf,
};

use crate::fixture::{DAY, day};
use crate::tools::Printed;

fn span(from_s: f64, to_s: f64, words: &str) -> SoundSpan {
    SoundSpan {
        from_s,
        to_s,
        words: words.to_owned(),
    }
}

/// A recording of `n` cues, 3 s apart; `error` gives each one's error, or nothing.
fn recording(n: usize, error: impl Fn(usize) -> Option<f64>) -> SoundRecording {
    let cues: Vec<SoundCue> = (0..n)
        .map(|i| SoundCue {
            at_s: 4.0 + 3.0 * i as f64,
            error_ms: error(i),
        })
        .collect();
    let heard = cues.iter().filter(|c| c.error_ms.is_some()).count();
    SoundRecording {
        file_name: "pitch.m4a".to_owned(),
        file_sha256: "ab".repeat(32),
        kind: "check before the test".to_owned(),
        heard: "“ir1”, one of our tracks".to_owned(),
        duration_s: Some(725.0),
        cues_confirmed: heard as u32,
        cues_expected: n as u32,
        worst_interval_ms: Some(4.2),
        speed_error_ppm: Some(-12.0),
        speed_low_ppm: Some(-15.0),
        speed_high_ppm: Some(-9.0),
        worst_level_db: Some(17.0),
        meaning: vec!["The sound was right".to_owned()],
        cues,
        ..SoundRecording::default()
    }
}

fn good(i: usize) -> Option<f64> {
    Some((i % 7) as f64 * 0.5 - 1.5)
}

/// Marks of a class in the plot; the legend has one more of each kind that is there.
fn marks(figure: &Figure, class: &str) -> usize {
    let all = figure.svg.matches(&format!("class=\"{class}\"")).count();
    all.saturating_sub(1)
}

fn drawn(one: &SoundRecording) -> Figure {
    let figure = figure_sound(one).expect("cues were heard");
    for part in ["viewBox=\"0 0 690 ", "role=\"img\"", "<title>", "<desc>"] {
        assert!(figure.svg.contains(part), "{part}");
    }
    assert!(!figure.svg.contains("NaN") && !figure.svg.contains("inf"));
    assert!(figure.alt.contains("n = "), "{}", figure.alt);
    figure
}

#[test]
fn a_few_cues_are_drawn_each_with_the_missed_ones_open_and_gaps_hatched() {
    let mut one = recording(100, |i| (i % 10 != 3).then_some(good(i)?));
    let clean = drawn(&one);
    assert_eq!(marks(&clean, "mark-heard"), 90);
    assert_eq!(marks(&clean, "mark-missed"), 10);
    assert_eq!(clean.svg.matches("band-gap").count(), 0);
    let runs = recording(100, |i| {
        (!(40..52).contains(&i) && i != 60).then_some(good(i)?)
    });
    assert_eq!(marks(&drawn(&runs), "mark-missed"), 2, "a run is one mark");
    one.gaps = vec![
        span(60.0, 75.0, "at 01:00 a pause"),
        span(90.0, 90.0, "a jump"),
    ];
    let broken = drawn(&one);
    assert_eq!(marks(&broken, "band-gap"), 2);
    assert!(
        broken
            .alt
            .contains("Playback broke in 2 places: at 01:00 a pause; a jump.")
    );
    assert!(
        broken.alt.contains("10 cues were not heard."),
        "{}",
        broken.alt
    );
}

#[test]
fn thousands_of_cues_stay_a_small_figure_with_the_worst_and_every_missed_one() {
    let n = 5_000;
    let one = recording(n, |i| match i {
        3_333 => Some(-41.5),
        i if i % 50 == 7 => None,
        i => good(i),
    });
    let figure = drawn(&one);
    assert_eq!(
        marks(&figure, "mark-missed"),
        n / 50,
        "few enough to be drawn each"
    );
    assert!(marks(&figure, "mark-heard") <= SOUND_STRETCHES);
    assert!(marks(&figure, "mark-heard") > SOUND_STRETCHES * 9 / 10);
    assert!(figure.svg.contains("largest \u{2212}41.5\u{202F}ms"));
    assert!(figure.svg.contains("the largest error of each stretch"));
    assert!(figure.svg.len() < 80_000, "{} bytes", figure.svg.len());
    let alternate = recording(n, |i| (i % 2 == 0).then_some(0.5));
    let figure = drawn(&alternate);
    let missed = marks(&figure, "mark-missed");
    assert!(
        (SOUND_STRETCHES * 9 / 10..=SOUND_STRETCHES).contains(&missed),
        "{missed}"
    );
    assert!(
        figure.alt.contains("2500 cues were not heard."),
        "{}",
        figure.alt
    );
}

#[test]
fn odd_recordings_are_drawn_or_left_out_without_a_panic() {
    assert_eq!(figure_sound(&SoundRecording::default()), None);
    assert_eq!(figure_sound(&recording(9, |_| None)), None);
    drawn(&recording(1, |_| Some(0.0)));
    let mut odd = recording(3, |i| (i != 2).then_some(f64::NAN));
    assert_eq!(figure_sound(&odd), None);
    odd.cues[0] = SoundCue {
        at_s: 9e8,
        error_ms: Some(9e8),
    };
    odd.gaps = vec![
        span(f64::NAN, 3.0, "odd"),
        span(-9e8, 9e8, "long"),
        span(9.0, 3.0, "back"),
    ];
    drawn(&odd);
}

fn with(sound: Option<SoundCertificate>) -> DayReport {
    DayReport { sound, ..day() }
}

fn coach(report: &DayReport) -> RenderedPdf {
    let options = RenderOptions {
        cards: Cards::None,
        ..RenderOptions::new(DAY.at(20, 15, 0, 0))
    };
    render_pdf(report, &options).expect("it prints")
}

#[test]
fn the_coach_page_has_the_certificate_only_when_there_is_one() {
    let without = Printed::new(&coach(&with(None))).all();
    assert!(!without.contains("Sound certificate"));
    let mut other = recording(1_112, good);
    other.deviation = "the recording is of “ir2”, the day says “ir1”".to_owned();
    other.file_name = "hall.wav".to_owned();
    let sound = SoundCertificate {
        recordings: vec![recording(1_112, good), other],
        unread: vec![SoundUnread {
            file_name: "old.wav".to_owned(),
            why: "its document cannot be read".to_owned(),
        }],
    };
    let pdf = coach(&with(Some(sound)));
    assert!(
        pdf.conforms && pdf.replaced.is_empty(),
        "{:?}",
        pdf.warnings
    );
    let text = Printed::new(&pdf).all().replace('\n', " ");
    let mut at = text.find("Sound certificate").expect("the heading");
    for part in [
        "pitch.m4a",
        "Check before the test",
        "1 112 of 1 112",
        "4.2 ms",
        "−12 ppm (−0.0012 %), 95 % interval −15 to −9 ppm",
        "17 dB",
        "The sound was right.",
        "Not as planned: the recording is of “ir2”, the day says “ir1”.",
        "hall.wav",
        "old.wav: its document cannot be read.",
        "Cautions",
    ] {
        let found = text[at..].find(part);
        at += found.unwrap_or_else(|| panic!("`{part}` is not in order in {}", &text[at..]));
    }
}

#[test]
fn cards_alone_neither_show_the_certificate_nor_list_its_letters() {
    let mut one = recording(9, good);
    one.file_name = "\u{12000}.wav".to_owned();
    let mut report = with(Some(SoundCertificate {
        recordings: vec![one],
        unread: Vec::new(),
    }));
    report.day.sound = "recording \u{12000}.wav".to_owned();
    let options = RenderOptions::new(DAY.at(20, 15, 0, 0));
    let pdf = render_cards_pdf(&report, &options).expect("it prints");
    assert_eq!(pdf.replaced, []);
    let text = Printed::new(&pdf).all();
    assert!(!text.contains("Sound certificate") && !text.contains("U+12000"));
    let listed = coach(&report).replaced;
    assert!(listed.iter().any(|r| r.letter == '\u{12000}'), "{listed:?}");
}
