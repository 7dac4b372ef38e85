//! The figures as SVG: structure, shapes, words.

use plimsoll_report::{Bound, Figure, figure_change, figure_distribution, figure_history};

use crate::fixture::{NAMES, athlete, day, roster};

fn count(figure: &Figure, what: &str) -> usize {
    figure.svg.matches(what).count()
}

fn well_made(figure: &Figure) {
    let svg = &figure.svg;
    assert!(svg.starts_with("<svg"), "{svg}");
    for part in [
        "viewBox=\"0 0 ",
        "role=\"img\"",
        "<title>",
        "<desc>",
        "Noto Sans",
    ] {
        assert!(svg.contains(part), "{part}");
    }
    assert!(
        !figure.alt.trim().is_empty() && figure.alt.contains("n = "),
        "{}",
        figure.alt
    );
    assert!(!svg.contains("NaN") && !svg.contains("inf"));
    assert!(
        figure.height > 20.0 && figure.height < 1000.0,
        "{}",
        figure.height
    );
}

#[test]
fn change_has_a_row_a_mark_and_a_value_for_each_athlete_in_the_given_order() {
    let figures = figure_change(&day());
    let [figure] = figures.as_slice() else {
        panic!("one figure for 25 rows")
    };
    well_made(figure);
    // One more of each in the legend.
    assert_eq!(count(figure, "mark-decided"), 5 + 1);
    assert_eq!(count(figure, "mark-open"), 19 + 1);
    assert_eq!(count(figure, "mark-bound"), 1 + 1);
    let names: Vec<usize> = NAMES
        .iter()
        .filter(|n| **n != "Finn Skerry")
        .map(|n| {
            figure
                .svg
                .rfind(&format!(">{n}<"))
                .unwrap_or_else(|| panic!("{n}"))
        })
        .collect();
    assert!(names.is_sorted(), "rows keep the report's order");
    assert!(figure.svg.contains("smaller than matters: ±70\u{202F}m"));
    assert!(figure.svg.contains("at least +40\u{202F}m"));
    assert!(
        figure
            .alt
            .contains("n = 25. 4 up and 1 down by more than chance explains, 19 cannot")
    );
}

#[test]
fn change_copes_with_one_and_with_forty_and_goes_on_after_that() {
    let names = |n: usize| -> Vec<String> {
        (0..n)
            .map(|i| format!("{} {i}", "Underwillow ".repeat(5)))
            .collect()
    };
    for n in [1, 2, 13, 40] {
        let mut report = roster(&names(n));
        report
            .athletes
            .iter_mut()
            .for_each(|a| *a = athlete(0, &a.name));
        let figures = figure_change(&report);
        assert_eq!(figures.len(), 1, "{n} rows");
        well_made(&figures[0]);
        assert!(figures[0].alt.contains(&format!("n = {n}.")));
    }
    let mut report = roster(&names(41));
    report
        .athletes
        .iter_mut()
        .for_each(|a| *a = athlete(0, &a.name));
    assert_eq!(figure_change(&report).len(), 2);
}

#[test]
fn change_leaves_out_other_units_and_says_so_and_draws_at_most_to_the_left() {
    let mut report = day();
    report.athletes.truncate(3);
    let mut change = report.athletes[0].change.clone().expect("a change");
    change.unit = "bouts".to_owned();
    report.athletes[0].change = Some(change);
    if let Some(change) = &mut report.athletes[1].change {
        change.bound = Bound::AtMost;
    }
    let figures = figure_change(&report);
    assert!(
        figures[0]
            .alt
            .contains("1 change not drawn: measured in another unit.")
    );
    assert!(figures[0].svg.contains("at most +280\u{202F}m"));
    report.athletes.iter_mut().for_each(|a| a.change = None);
    assert!(figure_change(&report).is_empty());
}

#[test]
fn the_squad_shows_scores_as_dots_and_bounds_as_arrows_outside_the_median() {
    let report = day();
    let figure = figure_distribution(&report).expect("there are results");
    well_made(&figure);
    assert_eq!(count(&figure, "mark-score"), 24);
    assert_eq!(
        count(&figure, "mark-ceiling"),
        1 + 1,
        "one athlete and the legend"
    );
    assert_eq!(count(&figure, "mark-bound"), 1);
    assert_eq!(count(&figure, "middle-half"), 1);
    for name in NAMES {
        assert!(!figure.svg.contains(name), "{name}");
    }
    let before = figure.alt.clone();
    let mut higher = report.clone();
    let bound = higher
        .athletes
        .iter_mut()
        .find(|a| a.lower_bound)
        .expect("one is cut short");
    bound.value = Some(1600.0);
    let after = figure_distribution(&higher).expect("there are results").alt;
    let scores = |alt: &str| alt.split(" At least").next().map(str::to_owned);
    assert_eq!(
        scores(&before),
        scores(&after),
        "a lower bound moves neither median nor quartile"
    );
    assert!(
        before.contains("n = 25 complete results and n = 1 known only as “at least”"),
        "{before}"
    );
}

#[test]
fn forty_equal_results_do_not_cover_each_other() {
    let mut report = roster(&(0..40).map(|i| format!("A{i}")).collect::<Vec<_>>());
    for line in &mut report.athletes {
        line.value = Some(1000.0);
        line.lower_bound = false;
        line.ceiling = false;
    }
    let figure = figure_distribution(&report).expect("there are results");
    well_made(&figure);
    let mut heights: Vec<&str> = figure
        .svg
        .lines()
        .filter(|l| l.contains("mark-score"))
        .filter_map(|l| l.split_once("cy=\"")?.1.split('"').next())
        .collect();
    heights.sort_unstable();
    heights.dedup();
    assert_eq!(heights.len(), 40);
    report.athletes.clear();
    assert!(figure_distribution(&report).is_none());
}

#[test]
fn history_shows_error_bars_today_and_what_was_different() {
    let report = day();
    let figure = figure_history(&report, &report.athletes[0]).expect("a history");
    well_made(&figure);
    assert_eq!(count(&figure, "mark-score"), 4, "earlier results");
    assert_eq!(count(&figure, "mark-decided"), 1, "today");
    assert!(figure.svg.contains("a 20 Sep 2025: grass"));
    assert!(figure.svg.contains("b 3 May 2026: hot, 27 °C"));
    assert!(
        figure
            .alt
            .starts_with("Results of Sol Heron over time, n = 5 tests: 20 Sep 2025")
    );
    let cut = figure_history(&report, &report.athletes[9]).expect("a history");
    assert_eq!(count(&cut, "mark-bound"), 1);
    assert!(
        cut.alt
            .contains("25 Nov 2026 at least 1\u{202F}120\u{202F}m."),
        "{}",
        cut.alt
    );
    let single = figure_history(&report, &report.athletes[16]).expect("a history");
    well_made(&single);
    assert!(single.alt.contains("n = 1 test:"));
}

#[test]
fn names_cannot_break_out_of_a_figure() {
    let mut report = day();
    report.athletes[0].name = "</text><script>alert(1)</script>&\"'".to_owned();
    let figure = &figure_change(&report)[0];
    assert!(!figure.svg.contains("<script>") && figure.svg.contains("&lt;script&gt;"));
}

#[test]
fn numbers_that_are_no_numbers_are_not_drawn() {
    let mut report = day();
    report.athletes[0].value = Some(f64::NAN);
    if let Some(change) = &mut report.athletes[0].change {
        change.difference = f64::INFINITY;
    }
    report.athletes[1].history[0].value = f64::NAN;
    well_made(&figure_change(&report)[0]);
    well_made(&figure_distribution(&report).expect("others have results"));
    well_made(&figure_history(&report, &report.athletes[1]).expect("others remain"));
}
