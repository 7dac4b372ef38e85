//! `plimsoll heat`: the numbers, the advice, the refusals.

use crate::support::Bench;

/// Source: the grid of the original Liljegren calculation: 28 °C, 60 %, 1 m/s, 850 W/m², noon in June at
/// 40° N, 75° W give 29.817 °C.
#[test]
fn a_hot_noon_is_found_from_place_and_time() {
    let ran = Bench::new().run(&[
        "heat",
        "--temp",
        "28",
        "--humidity",
        "60",
        "--wind",
        "1",
        "--solar",
        "850",
        "--lat",
        "40",
        "--lon",
        "-75",
        "--at",
        "2026-06-21T17:00:00Z",
        "--minors",
        "--json",
    ]);
    assert_eq!(ran.status, 1, "a person must decide: {}", ran.err);
    let answer = ran.json();
    let wbgt = answer["wbgt"].as_f64().expect("a number");
    assert!((wbgt - 29.817).abs() < 0.05, "{wbgt}");
    assert_eq!(answer["estimate"], true);
    let first = &answer["advice"][0];
    assert_eq!(first["policy"], "plimsoll_default");
    assert_eq!(first["verdict"], "no_test");
    assert!(answer["advice"].as_array().expect("advice").len() >= 5);
}

#[test]
fn a_mild_evening_is_fine_and_a_globe_is_said_to_be_measured() {
    let bench = Bench::new();
    let night = bench.run(&[
        "heat",
        "--temp",
        "12",
        "--humidity",
        "60",
        "--wind",
        "2",
        "--solar",
        "0",
    ]);
    assert_eq!(night.status, 0);
    assert!(
        night.out.contains("estimate, no globe reading"),
        "{}",
        night.out
    );
    assert!(
        night.out.contains("medical staff and local rules"),
        "{}",
        night.out
    );
    let globe = bench.run(&[
        "heat",
        "--temp",
        "20",
        "--humidity",
        "50",
        "--wind",
        "2",
        "--globe",
        "26",
        "--json",
    ]);
    assert_eq!(
        globe.json()["method"],
        "measured globe, wet bulb after Liljegren 2008"
    );
}

#[test]
fn what_cannot_be_is_refused_with_what_is_allowed() {
    let bench = Bench::new();
    let hot = bench.run(&[
        "heat",
        "--temp",
        "95",
        "--humidity",
        "50",
        "--wind",
        "1",
        "--solar",
        "0",
    ]);
    assert_eq!(hot.status, 2);
    assert!(
        hot.err
            .contains("the air temperature is 95; allowed is -30 to 55 °C"),
        "{}",
        hot.err
    );
    let lost = bench.run(&[
        "heat",
        "--temp",
        "25",
        "--humidity",
        "50",
        "--wind",
        "1",
        "--solar",
        "800",
    ]);
    assert_eq!(lost.status, 2);
    assert!(
        lost.err
            .contains("--solar needs to know where the sun stands"),
        "{}",
        lost.err
    );
}
