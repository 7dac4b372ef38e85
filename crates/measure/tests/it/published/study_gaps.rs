//! Source: invented data worked through with numpy 2.4.6 and scipy 1.17.1, the residual also with
//! R 4.2.2 `lm` (golden file study_squad.json).

use plimsoll_measure::error::TypicalError;
use plimsoll_measure::study::{BlendBasis, Published, Trials, blend, study};
use serde_json::Value;

use crate::golden::{FULL_PRECISION, close, json, number, numbers, rows};

const NUMBERS: &str = include_str!("../../golden/study_squad.json");

/// Root finding behind these numbers stops at about 1e-11.
const QUADRATURE: f64 = 1e-9;

fn gaps() -> (Value, Trials) {
    let part = json(NUMBERS)["unbalanced"].clone();
    let cells: Vec<Option<f64>> = rows(&part, "table")
        .iter()
        .flat_map(|row| row.as_array().expect("a row"))
        .map(Value::as_f64)
        .collect();
    let trials = Trials::wide(&cells, 4).expect("trials");
    (part, trials)
}

/// Source: projections of the whole design (numpy); residual mean square also by R's `lm`.
#[test]
fn a_study_with_gaps() {
    let (want, trials) = gaps();
    let raw = study(&trials, 0.95).expect("a study").raw;
    let pooled = raw.pooled.expect("an error");
    let te = number(&want, "mse").sqrt();
    close("TE", pooled.error.value, te, FULL_PRECISION);
    assert_eq!(pooled.error.df, number(&want, "df"));
    let ci = numbers(&want, "te_ci95");
    close("TE low", pooled.interval.lower, ci[0], FULL_PRECISION);
    close("TE high", pooled.interval.upper, ci[1], FULL_PRECISION);
    let parts = raw.components.expect("components");
    for (got, field) in [
        (parts.between, "between"),
        (parts.trial, "trial"),
        (parts.between_one_way, "between_one_way"),
        (parts.within, "within"),
        (parts.trials_each, "trials_each"),
        (parts.people_each, "people_each"),
        (parts.trials_each_one_way, "one_way_each"),
    ] {
        close(field, got, number(&want, field), FULL_PRECISION);
    }
    let learning = raw.learning.expect("learning");
    let later = learning.later_error.expect("a later error").error;
    close(
        "later",
        later.value,
        number(&want, "later_mse").sqrt(),
        FULL_PRECISION,
    );
    assert_eq!(later.df, number(&want, "later_df"));
    let matched = learning.matched.expect("a matched interval");
    let ends = numbers(&want, "matched");
    close("matched low", matched.lower, ends[0], QUADRATURE);
    close("matched high", matched.upper, ends[1], QUADRATURE);
    let loo = want["loo"].as_array().expect("a list");
    let influence = raw.influence.expect("influence").people;
    assert_eq!(
        influence.len(),
        8,
        "the person with one trial has no influence"
    );
    for one in &influence {
        let without = loo[one.person as usize].as_f64().expect("a number");
        close(
            "without",
            one.error_without.expect("one"),
            without,
            FULL_PRECISION,
        );
    }
}

/// Source: moments of log chi-square from scipy's digamma and polygamma.
#[test]
fn blended_errors() {
    let file = json(NUMBERS);
    for row in rows(&file, "blend") {
        let error = |value, df| TypicalError {
            value: number(row, value),
            df: number(row, df),
        };
        let published = Published {
            error: error("published", "published_df"),
            spread: number(row, "spread"),
        };
        let own = error("own", "own_df");
        let got = blend(Some((own, own.df as usize + 1)), Some(published)).expect("a blend");
        close("value", got.error.value, number(row, "value"), QUADRATURE);
        close("df", got.error.df, number(row, "df"), QUADRATURE);
        let BlendBasis::Both { own_weight, .. } = got.basis else {
            panic!("both are used");
        };
        close("weight", own_weight, number(row, "weight"), QUADRATURE);
    }
}
