//! The figure of a mixed model: shares as one bar, levels by size, and what stays out of it.

use plimsoll_report::{DeviationMark, MixedPlot, SharePart, figure_mixed};

fn mark(n: usize) -> DeviationMark {
    let value = n as f64 - 4.5;
    DeviationMark {
        name: format!("Runner <{n}>"),
        value,
        low: value - 2.0,
        high: value + 2.0,
    }
}

fn plot(marks: Vec<DeviationMark>) -> MixedPlot {
    let part = |name: &str, share| SharePart {
        name: name.to_owned(),
        share,
    };
    MixedPlot {
        shares: vec![
            part("from one athlete to another", 0.5),
            part("from one day to another", 0.125),
            part("left over", 0.375),
        ],
        group: "athlete".to_owned(),
        unit: "%".to_owned(),
        marks,
        level: 0.9,
    }
}

/// Where the middle of a text of the figure lies, px from the top.
fn height(figure: &plimsoll_report::Figure, text: &str) -> f64 {
    let mut labels = figure.labels.iter();
    labels.find(|l| l.text == text).expect(text).at.1
}

#[test]
fn levels_stand_by_size_and_zero_is_shown_by_shape() {
    let figure = figure_mixed(&plot((0..10).map(mark).collect()));
    assert!(height(&figure, "Runner <9>") < height(&figure, "Runner <0>"));
    assert!(figure.svg.contains("Runner &lt;9&gt;"), "names are escaped");
    // Of -4.5 to 4.5 with 2 to each side, four intervals hold zero.
    assert_eq!(figure.svg.matches("mark-open").count(), 4);
    assert_eq!(figure.svg.matches("mark-score").count(), 6);
    assert!(
        figure.alt.contains("from one athlete to another 50"),
        "{}",
        figure.alt
    );
    assert!(figure.alt.contains("left over 38"), "{}", figure.alt);
    assert!(
        figure
            .labels
            .iter()
            .all(|l| l.at.0 >= 0.0 && l.at.1 <= figure.height)
    );
}

#[test]
fn the_bar_is_as_long_as_its_parts() {
    let svg = figure_mixed(&plot(Vec::new())).svg;
    // Widths of the three parts of 660 px.
    for width in ["width=\"330\"", "width=\"82.5\"", "width=\"247.5\""] {
        assert!(svg.contains(width), "{width}: {svg}");
    }
}

#[test]
fn many_levels_leave_their_middle_out_and_say_so() {
    let figure = figure_mixed(&plot((0..100).map(mark).collect()));
    assert!(
        figure
            .labels
            .iter()
            .any(|l| l.text == "60 between these are not drawn")
    );
    assert!(figure.alt.contains("60 between these are not drawn"));
    assert!(figure.labels.iter().any(|l| l.text == "Runner <99>"));
    assert!(figure.labels.iter().any(|l| l.text == "Runner <0>"));
    assert!(!figure.labels.iter().any(|l| l.text == "Runner <50>"));
}

#[test]
fn odd_numbers_draw_no_nonsense() {
    let mut marks: Vec<DeviationMark> = (0..3).map(mark).collect();
    marks[0].low = f64::NAN;
    marks[1].value = f64::INFINITY;
    let mut odd = plot(marks);
    odd.shares[0].share = 7.0;
    odd.shares[1].share = -1.0;
    let svg = figure_mixed(&odd).svg;
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    let same = vec![DeviationMark {
        name: "One".to_owned(),
        value: 0.0,
        low: 0.0,
        high: 0.0,
    }];
    assert!(!figure_mixed(&plot(same)).svg.contains("NaN"));
}
