//! The strips of expected stops: one a test, early stops marked, bad numbers left out.

use plimsoll_report::{STOP_STRIPS, StopStrip, figure_stops};

fn strip(name: &str) -> StopStrip {
    StopStrip {
        name: name.to_owned(),
        runners: 24,
        stops: (1..=40).map(|k| (f64::from(k) * 25.0, 0.5)).collect(),
        at_end: 4.0,
        end_s: 1_000.0,
        last_90_s: 950.0,
    }
}

#[test]
fn each_test_has_a_strip_a_flag_a_ring_and_words() {
    let figure = figure_stops(&[strip("Test <A>"), strip("Test B")]).expect("two strips");
    // One more of each in the legend.
    assert_eq!(figure.svg.matches("mark-last").count(), 2 + 1);
    assert_eq!(figure.svg.matches("mark-end").count(), 2 + 1);
    assert!(figure.svg.contains("Test &lt;A&gt;") && !figure.svg.contains("NaN"));
    // Four bouts of 25 s end within two minutes: 4 x 0.5 people.
    assert!(
        figure
            .alt
            .contains("Test B, n = 24: 2.0 expected out in the first two minutes, 4.0 at the end"),
        "{}",
        figure.alt
    );
}

#[test]
fn bad_numbers_draw_nothing_and_long_lists_are_cut() {
    assert!(figure_stops(&[]).is_none());
    let mut bad = strip("bad");
    bad.end_s = f64::NAN;
    assert!(figure_stops(std::slice::from_ref(&bad)).is_none());
    let mut odd = strip("odd");
    odd.stops = vec![(f64::NAN, 1.0), (f64::INFINITY, 1.0), (25.0, f64::NAN)];
    let figure = figure_stops(&[odd]).expect("a strip without bars");
    assert!(!figure.svg.contains("NaN") && !figure.svg.contains("inf"));
    let many: Vec<StopStrip> = (0..40).map(|n| strip(&format!("Test {n}"))).collect();
    let figure = figure_stops(&many).expect("strips");
    assert_eq!(figure.svg.matches("mark-last").count(), STOP_STRIPS + 1);
    assert!(figure.height < 1000.0);
}
