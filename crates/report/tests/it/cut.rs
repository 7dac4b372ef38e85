//! The figure of a cut: a row a person, shapes for decided, open and at least, bad numbers left out.

use plimsoll_report::{CUT_ROWS, CutMark, CutPlot, figure_cut};

fn mark(name: &str, result: f64, chance: Option<f64>) -> CutMark {
    CutMark {
        name: name.to_owned(),
        result,
        bound: false,
        chance,
    }
}

fn plot(people: Vec<CutMark>) -> CutPlot {
    CutPlot {
        unit: "m".to_owned(),
        cut: 1200.0,
        label: Some("16.3".to_owned()),
        risk: 0.05,
        fail_to: Some(1040.0),
        pass_from: Some(1320.0),
        people,
    }
}

#[test]
fn each_person_has_a_row_a_shape_and_a_chance() {
    let mut least = mark("Least", 800.0, None);
    least.bound = true;
    let people = vec![
        mark("Low <B>", 900.0, Some(0.01)),
        mark("Open", 1240.0, Some(0.62)),
        mark("High", 1600.0, Some(0.999)),
        least,
    ];
    let figure = figure_cut(&plot(people)).expect("people");
    // One more of each in the legend.
    assert_eq!(figure.svg.matches("mark-score").count(), 2 + 1);
    assert_eq!(figure.svg.matches("mark-open").count(), 1 + 1);
    assert_eq!(figure.svg.matches("mark-bound").count(), 1 + 1);
    assert_eq!(figure.svg.matches("class=\"chance\"").count(), 3);
    assert!(figure.svg.contains("Low &lt;B&gt;") && figure.svg.contains("not known"));
    assert!(
        figure
            .alt
            .contains("Open 1\u{202F}240\u{202F}m, chance 62\u{202F}%"),
        "{}",
        figure.alt
    );
    assert!(figure.alt.contains("Least at least"), "{}", figure.alt);
}

#[test]
fn bad_numbers_draw_nothing_and_long_lists_are_cut() {
    assert!(figure_cut(&plot(Vec::new())).is_none());
    assert!(figure_cut(&plot(vec![mark("a", f64::NAN, None)])).is_none());
    let mut bad = plot(vec![mark("a", 1.0, Some(f64::NAN))]);
    let figure = figure_cut(&bad).expect("a row");
    assert!(!figure.svg.contains("NaN"), "{}", figure.svg);
    bad.cut = f64::INFINITY;
    assert!(figure_cut(&bad).is_none());
    let many = (0..200)
        .map(|n| mark(&format!("P {n}"), f64::from(n), Some(0.5)))
        .collect();
    let figure = figure_cut(&plot(many)).expect("rows");
    assert_eq!(figure.svg.matches("class=\"chance\"").count(), CUT_ROWS);
    assert!(
        figure.alt.contains("140 more are in the table"),
        "{}",
        figure.alt
    );
    let mut open = plot(vec![mark("a", 1100.0, Some(0.2))]);
    (open.fail_to, open.pass_from) = (None, None);
    assert!(!figure_cut(&open).expect("a row").svg.contains("NaN"));
}
