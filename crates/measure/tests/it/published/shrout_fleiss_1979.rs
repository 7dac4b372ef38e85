//! Source: Shrout & Fleiss 1979, Psychol Bull 86:420-428, example of 6 targets and 4 judges;
//! full-precision numbers from R 4.2.2, psych 2.2.9 (`lmer = FALSE`).

use plimsoll_measure::error::{IccForm, icc, icc_interval, mean_squares, typical_error_of_trials};

use crate::golden::{FULL_PRECISION, close, json, number, rows};

const DATA: &str = include_str!("../../golden/icc_shrout_fleiss.csv");
const NUMBERS: &str = include_str!("../../golden/icc.json");
const VECTORS: &str = include_str!("../../golden/stat_test_vectors.json");

/// The paper prints two decimals.
const PRINTED_TO: f64 = 0.005;
/// The vectors print six decimals.
const SIX_DECIMALS: f64 = 5e-7;

fn table() -> Vec<Vec<f64>> {
    let file = json(VECTORS);
    rows(&file["icc_shrout_fleiss_1979"], "data_rows_subjects")
        .iter()
        .map(|row| {
            row.as_array()
                .expect("a row")
                .iter()
                .map(|v| v.as_f64().expect("a number"))
                .collect()
        })
        .collect()
}

const FORMS: [(IccForm, &str, f64); 6] = [
    (IccForm::OneWay, "ICC1", 0.17),
    (IccForm::Agreement, "ICC2", 0.29),
    (IccForm::Consistency, "ICC3", 0.71),
    (IccForm::OneWayMean, "ICC1k", 0.44),
    (IccForm::AgreementMean, "ICC2k", 0.62),
    (IccForm::ConsistencyMean, "ICC3k", 0.91),
];

/// Source: the paper's table of six coefficients, and psych's digits.
#[test]
fn six_forms() {
    let squares = mean_squares(&table()).expect("mean squares");
    let file = json(NUMBERS);
    for (form, name, printed) in FORMS {
        let got = icc(&squares, form).expect("a correlation").value;
        let row = rows(&file, "lmer_FALSE")
            .iter()
            .find(|r| r["type"] == name)
            .expect("a row");
        close(name, got, number(row, "ICC"), FULL_PRECISION);
        assert!(
            (got - printed).abs() <= PRINTED_TO,
            "{name}: {got} v printed {printed}"
        );
    }
    let row = rows(&file, "lmer_FALSE")
        .iter()
        .find(|r| r["type"] == "ICC3")
        .expect("a row");
    let interval = icc_interval(&squares, 0.95).expect("an interval");
    close(
        "ICC3 low",
        interval.lower,
        number(row, "lower bound"),
        FULL_PRECISION,
    );
    close(
        "ICC3 high",
        interval.upper,
        number(row, "upper bound"),
        FULL_PRECISION,
    );
}

/// Source: mean squares of the example; the typical error of trials is root(EMS) = 1.00968.
#[test]
fn mean_squares_of_the_example() {
    let file = json(VECTORS);
    let want = &file["icc_shrout_fleiss_1979"];
    let got = mean_squares(&table()).expect("mean squares");
    close("BMS", got.people, number(want, "MS_between"), SIX_DECIMALS);
    close("JMS", got.trials, number(want, "MS_columns"), SIX_DECIMALS);
    close("EMS", got.error, number(want, "MS_error"), SIX_DECIMALS);
    close("WMS", got.within, number(want, "MS_within"), SIX_DECIMALS);
    let error = typical_error_of_trials(&table()).expect("an error");
    close(
        "TE",
        error.value,
        number(want, "MS_error").sqrt(),
        SIX_DECIMALS,
    );
    close("df", error.df, 15.0, FULL_PRECISION);
}

/// Source: the two copies of the example hold the same table.
#[test]
fn both_copies_of_the_table_agree() {
    let table = table();
    let mut cells = 0;
    for row in csv::Reader::from_reader(DATA.as_bytes()).records() {
        let row = row.expect("a row");
        let place = |index: usize| row[index].parse::<usize>().expect("a position") - 1;
        let score: f64 = row[2].parse().expect("a number");
        assert_eq!(score, table[place(0)][place(1)]);
        cells += 1;
    }
    assert_eq!(cells, 24);
}
