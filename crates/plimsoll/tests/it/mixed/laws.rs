//! What a mixed model must not depend on, and what follows by hand.

use serde_json::Value;

use super::{CLOSED, DYESTUFF, FIXED, SDS, YIELD, batches, close, golden, letters, mixed};
use crate::support::Bench;

#[test]
fn order_labels_and_a_shift_change_nothing_else() {
    let bench = Bench::new();
    let sheet = |rows: Vec<String>| format!("Batch,Yield\n{}", rows.concat());
    let plain = mixed(&bench, &sheet(batches(&DYESTUFF, letters, 0.0)), &YIELD);
    let mut turned = batches(&DYESTUFF, letters, 0.0);
    turned.reverse();
    let other_names = |b: usize| format!("lot {}", 9 - b);
    for (what, rows, shift) in [
        ("order", turned, 0.0),
        ("labels", batches(&DYESTUFF, other_names, 0.0), 0.0),
        ("shift", batches(&DYESTUFF, letters, 1e6), 1e6),
    ] {
        let got = mixed(&bench, &sheet(rows), &YIELD);
        for path in [
            "/random/0/columns/0/sd",
            "/residual/sd",
            "/typical/se",
            "/shares/0/share",
        ] {
            let of = |v: &Value| v.pointer(path).cloned().expect(path);
            close(what, &of(&got), of(&plain).as_f64().expect(path), FIXED);
        }
        let mean = plain["typical"]["estimate"].as_f64().expect("a mean");
        close(what, &got["typical"]["estimate"], mean + shift, 1e-9);
    }
}

/// Derived by hand: with one row a group and equal known variances v, REML gives tau^2 = s^2 - v and
/// the SE of the mean is the root of (tau^2 + v) / k.
#[test]
fn known_errors_pool_studies() {
    let values = [4.0, 7.0, 9.0, 12.0];
    let rows: String = (0..4)
        .map(|i| format!("s{i},{},1.5\n", values[i]))
        .collect();
    let args = [
        "--outcome",
        "y",
        "--group",
        "study",
        "--weights-from-error",
        "se",
    ];
    let got = mixed(&Bench::new(), &format!("study,y,se\n{rows}"), &args);
    let s2: f64 = values.iter().map(|v| (v - 8.0_f64).powi(2)).sum::<f64>() / 3.0;
    close(
        "tau",
        &got["random"][0]["columns"][0]["sd"],
        (s2 - 2.25).sqrt(),
        CLOSED,
    );
    close("mean", &got["typical"]["estimate"], 8.0, CLOSED);
    close("SE", &got["typical"]["se"], (s2 / 4.0).sqrt(), CLOSED);
    assert!(got["residual"].is_null());
    close("share", &got["shares"][1]["share"], 2.25 / s2, CLOSED);
}

/// On logs the unit of the outcome cannot matter, and effects are percent.
#[test]
fn logs_are_percent_in_any_unit() {
    let bench = Bench::new();
    let rows = |factor: f64| {
        let rows: String = (0..24)
            .map(|i| {
                let (who, week) = (i / 4, i % 4);
                let scatter = f64::from((i * 7) % 5) - 2.0;
                let y = factor
                    * 900.0
                    * (0.1 * f64::from(who) + 0.02 * f64::from(week) + 0.03 * scatter).exp();
                format!("P{who},{week},{y}\n")
            })
            .collect();
        format!("athlete,week,y\n{rows}")
    };
    let args = [
        "--outcome",
        "y",
        "--fixed",
        "week",
        "--group",
        "athlete",
        "--log",
    ];
    let metres = mixed(&bench, &rows(1.0), &args);
    let feet = mixed(&bench, &rows(3.280_84), &args);
    assert_eq!(metres["scale"], "logs");
    for path in [
        "/fixed/1/percent/estimate",
        "/residual/percent",
        "/shares/0/share",
    ] {
        let of = |v: &Value| v.pointer(path).cloned().expect(path);
        close(path, &of(&feet), of(&metres).as_f64().expect(path), FIXED);
    }
    let typical = metres["typical"]["value"]["estimate"]
        .as_f64()
        .expect("metres");
    close(
        "feet",
        &feet["typical"]["value"]["estimate"],
        3.280_84 * typical,
        FIXED,
    );
    let estimate = metres["fixed"][1]["estimate"].as_f64().expect("an effect");
    close(
        "percent",
        &metres["fixed"][1]["percent"]["estimate"],
        100.0 * estimate.exp_m1(),
        1e-12,
    );
}

/// Source of the fitted values: mixed_models.json, lme4 1.1-31.
#[test]
fn predictions_know_whom_they_know() {
    let bench = Bench::new();
    bench.put("new.csv", "Subject,Days\n308,0\n308,1\nnobody,0\n308,\n");
    let args = [
        "--outcome",
        "Reaction",
        "--fixed",
        "Days",
        "--group",
        "Subject",
        "--predict",
        "new.csv",
    ];
    let got = mixed(&bench, &golden("lme4_sleepstudy.csv"), &args);
    let rows = got["predictions"]["rows"].as_array().expect("rows");
    assert_eq!(rows.len(), 3);
    close("first", &rows[0]["expected"], 292.188_814_744_905, SDS);
    close("second", &rows[1]["expected"], 302.656_100_704_501, SDS);
    close("typical", &rows[0]["typical"], 251.405_104_848_484, FIXED);
    assert_eq!(rows[2]["expected"], rows[2]["typical"]);
    assert_eq!(rows[2]["unknown"][0], "Subject");
    assert_eq!(got["predictions"]["dropped"][0]["row"], 5);
    let wide =
        |ends: &Value| ends["upper"].as_f64().expect("end") - ends["lower"].as_f64().expect("end");
    // Derived by hand: 2 z sqrt(37.124^2 + 30.991^2 + 9.747^2), z the normal 95 % point.
    close(
        "new",
        &wide(&rows[2]["new_reading"]).into(),
        2.0 * 1.644_853_6 * 49.332_3,
        1e-4,
    );
    bench.put("other.csv", "Subject,Day\n308,0\n");
    let other = [
        &["mixed", "rows.csv"],
        &args[..6],
        &["--predict", "other.csv"],
    ]
    .concat();
    let ran = bench.run(&other);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("found no column `Days`"), "{}", ran.err);
}

/// The same label in two clubs is two people, as if each had a name of their own.
#[test]
fn a_name_within_a_club_is_a_person() {
    let bench = Bench::new();
    let rows = |own: bool| {
        let rows: String = (0..24)
            .map(|i| {
                let (club, who) = (i % 2, i / 2 % 3);
                let y = 10 * who + 25 * club * (who % 2) + (i * 5) % 7;
                let name = if own {
                    format!("{who}{club}")
                } else {
                    format!("P{who}")
                };
                format!("club {club},{name},{y}\n")
            })
            .collect();
        format!("club,who,y\n{rows}")
    };
    let of = |own, group| mixed(&bench, &rows(own), &["--outcome", "y", "--group", group]);
    let within = of(false, "who,within=club");
    let named = of(true, "who");
    assert_eq!(within["random"][0]["levels"], 6);
    assert_eq!(within["random"][0]["group"], "who within club");
    assert_eq!(within["deviations"][0]["level"], "P0 (club 0)");
    close(
        "deviance",
        &within["deviance"],
        named["deviance"].as_f64().expect("a number"),
        FIXED,
    );
    // Without it the two of a name count as one person.
    assert_eq!(of(false, "who")["random"][0]["levels"], 3);
}
