//! The figure of a true change: what it says, what it cannot draw, and text that is not markup.

use plimsoll_report::{TrueChangePlot, TrueChangeRow, figure_true_change};

fn row(name: &str, middle: f64, low: f64, high: f64) -> TrueChangeRow {
    TrueChangeRow {
        name: name.to_owned(),
        middle,
        low,
        high,
    }
}

fn plot() -> TrueChangePlot {
    TrueChangePlot {
        about: "Change of Wren <Osier> & Co in an invented test".to_owned(),
        unit: "m".to_owned(),
        decimals: 0,
        curve_name: "from the two tests".to_owned(),
        curve: (-20..=60)
            .map(|i| {
                let x = f64::from(i) * 10.0;
                (x, (-((x - 160.0) / 110.0).powi(2) / 2.0).exp())
            })
            .collect(),
        zone: Some((-67.0, 70.0)),
        detectable: Some((-200.0, 240.0)),
        chances: Some((0.004, 0.196, 0.8)),
        rows: vec![
            row("since 5 Sep 2026", 160.0, -13.0, 353.0),
            row("since 1 May 2026", 260.0, 80.0, 440.0),
        ],
    }
}

#[test]
fn it_writes_the_chances_zone_and_detectable_change() {
    let figure = figure_true_change(&plot()).expect("drawn");
    let texts: Vec<&str> = figure.labels.iter().map(|l| l.text.as_str()).collect();
    for wanted in [
        "<1\u{202F}%",
        "20\u{202F}%",
        "80\u{202F}%",
        "fall that matters",
        "too small to matter",
        "rise that matters",
        "too small to matter: \u{2212}67 to +70\u{202F}m",
        "+160\u{202F}m",
        "since 1 May 2026",
    ] {
        assert!(texts.contains(&wanted), "{wanted}: {texts:?}");
    }
    assert!(
        texts
            .iter()
            .any(|t| t.contains("beyond \u{2212}200\u{202F}m or +240\u{202F}m"))
    );
    assert!(
        figure.alt.contains("of a rise that matters 80\u{202F}%"),
        "{}",
        figure.alt
    );
    assert!(
        figure
            .alt
            .contains("since 1 May 2026: +260\u{202F}m, 90\u{202F}% +80 to +440\u{202F}m")
    );
    assert!(figure.svg.contains("&lt;Osier&gt;") && !figure.svg.contains("<Osier>"));
    // One interval keeps clear of no change: a diamond; the other does not: a ring. Both stand in the legend too.
    assert_eq!(figure.svg.matches("mark-open").count(), 2);
    for label in &figure.labels {
        assert!(label.at.0 >= 0.0 && label.at.0 <= figure.width && label.at.1 < figure.height);
    }
}

#[test]
fn without_a_curve_it_draws_intervals_and_without_either_nothing() {
    let mut bare = plot();
    bare.curve = vec![(f64::NAN, 1.0)];
    bare.chances = None;
    let figure = figure_true_change(&bare).expect("drawn");
    assert!(!figure.svg.contains("true-change"));
    assert!(!figure.svg.contains("NaN"));
    bare.rows = vec![row("odd", f64::INFINITY, 0.0, 1.0)];
    assert!(figure_true_change(&bare).is_none());
}
