//! Two values without a history: the answer of the command line.

use plimsoll_interpret::change::{ChangeContext, QuickChange, QuickRequest, quick_change};
use plimsoll_interpret::{Person, Size};

use crate::catalogue;

fn ask(test: &str, from: f64, to: f64, error: Option<Size>, least: Option<Size>) -> QuickChange {
    let person = Person::default();
    let context = ChangeContext {
        error,
        worthwhile: least,
        ..ChangeContext::new(test, &person)
    };
    quick_change(&catalogue(), &QuickRequest { context, from, to }).expect("an answer")
}

#[test]
fn a_rise_of_four_bouts_at_cv_4_9() {
    let got = ask("ir1", 1480.0, 1640.0, Some(Size::Percent(4.9)), None);
    let (up, trivial, down) = (
        got.p_up.expect("up"),
        got.p_trivial.expect("trivial"),
        got.p_down.expect("down"),
    );
    assert!((up + trivial + down - 1.0).abs() < 1e-12);
    // Worked by hand on logs: d 0.102654, error 0.047837, worthwhile ln(1 + 70/1480) = 0.046214:
    // z up (0.102654 - 0.046214) / 0.067652 = 0.83427.
    assert!((up - 0.7979).abs() < 0.0005, "{up}");
    assert!((down - 0.0139).abs() < 0.0005, "{down}");
    assert_eq!(got.difference, 160.0);
    assert_eq!(got.detectable, Some(240.0));
    assert_eq!(got.verdict, "likely better (80 %)");
    assert!(
        got.basis
            .starts_with("typical error 4.9 % set by hand; default smallest")
    );
    assert_eq!(got.unit, Some("m"));
}

#[test]
fn keys_of_the_json() {
    let got = ask("ir1", 1480.0, 1640.0, None, None);
    let json = serde_json::to_value(&got).expect("JSON");
    for key in [
        "difference",
        "p_up",
        "p_trivial",
        "p_down",
        "detectable",
        "verdict",
        "basis",
    ] {
        assert!(!json[key].is_null(), "{key}");
    }
}

#[test]
fn a_fall_is_judged_by_the_fall_that_can_be_detected() {
    let got = ask("ir1", 2000.0, 1900.0, Some(Size::Percent(7.3)), None);
    let change = got.detectable_change.expect("a change");
    assert!(change.down_percent < change.up_percent);
    assert_eq!(got.detectable, Some(change.down));
    assert_eq!(got.verdict, "cannot tell from noise");
}

#[test]
fn the_scale_follows_the_test_and_the_error() {
    // km/h is judged in km/h even for a CV.
    let got = ask("int30_15_40", 18.0, 19.0, Some(Size::Percent(2.0)), None);
    let change = got.detectable_change.expect("a change");
    assert_eq!(change.up_percent, change.down_percent);
    // Metres with an error in metres are judged in metres.
    let got = ask(
        "ir1",
        1600.0,
        1760.0,
        Some(Size::InUnit(120.0)),
        Some(Size::InUnit(70.0)),
    );
    assert!((got.p_up.expect("up") - 0.702).abs() < 0.0005);
}

#[test]
fn what_is_not_known_is_said() {
    let got = ask("rsa_6x40s", 7.1, 7.0, None, None);
    assert_eq!(got.p_up, None);
    assert!(
        got.verdict
            .starts_with("unclear: no adequate error estimate"),
        "{}",
        got.verdict
    );
    let got = ask("run12", 2800.0, 2900.0, Some(Size::Percent(3.0)), None);
    assert_eq!(
        got.verdict,
        "unclear: no smallest worthwhile change is known for run12; set one"
    );
    let got = ask(
        "run12",
        2800.0,
        2900.0,
        Some(Size::Percent(3.0)),
        Some(Size::Percent(1.0)),
    );
    assert!(got.p_up.is_some());
    // One whole step stands in where no spread is known.
    let got = ask("ir1c", 640.0, 800.0, None, None);
    assert!(got.basis.contains("32 m: one whole step"), "{}", got.basis);
}

#[test]
fn bad_values_are_worded() {
    let person = Person::default();
    for (from, to) in [(0.0, 1.0), (1.0, f64::NAN), (-5.0, 1.0)] {
        let context = ChangeContext::new("ir1", &person);
        let fault = quick_change(&catalogue(), &QuickRequest { context, from, to });
        let message = fault.expect_err("a fault").to_string();
        assert!(message.contains("allowed is a number above 0"), "{message}");
    }
    let context = ChangeContext {
        worthwhile: Some(Size::InUnit(-1.0)),
        ..ChangeContext::new("ir1", &person)
    };
    let request = QuickRequest {
        context,
        from: 1480.0,
        to: 1640.0,
    };
    assert_eq!(
        quick_change(&catalogue(), &request)
            .expect_err("a fault")
            .to_string(),
        "smallest worthwhile change is -1; allowed is 0 or a number above it; correct the value"
    );
}
