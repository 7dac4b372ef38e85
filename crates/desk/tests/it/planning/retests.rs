//! When to test again: the week, the chance, the words; scales that do not go together.

use plimsoll_desk::Choices;
use plimsoll_desk::planning::{RetestAnswer, RetestAsked, precision, retest_answer};
use plimsoll_interpret::{Person, Size};

use super::{catalogue, facts};

fn asked(test: &str, gain: Option<Size>, from: Option<f64>) -> RetestAsked<'static> {
    RetestAsked {
        test: catalogue().get(test).expect("shipped"),
        person: Person::default(),
        from,
        weekly_gain: gain,
        trials: 1,
        chance: 0.8,
    }
}

fn answer(asked: &RetestAsked<'_>) -> RetestAnswer {
    retest_answer(facts(), asked, &Choices::default()).expect("answers")
}

/// Source: defaults of the references: 6 shuttles on the 20 m test; 2.77 x 6 = 16.63.
#[test]
fn an_error_in_shuttles_gives_weeks_in_shuttles() {
    let a = answer(&asked("msr20", Some(Size::InUnit(2.0)), None));
    assert!((a.detectable.expect("known") - 16.631).abs() < 1e-3);
    assert!((a.weeks_even.expect("known") - 8.315).abs() < 1e-3);
    assert!((a.weeks_likely.expect("known") - (16.631 + 0.8416 * 8.485) / 2.0).abs() < 1e-2);
    assert_eq!(a.unit, "shuttles");
    let percent = answer(&asked("msr20", Some(Size::Percent(2.5)), Some(80.0)));
    assert_eq!(percent.weeks_even, a.weeks_even);
}

#[test]
fn a_gain_on_the_other_scale_needs_to_know_from_where() {
    let refused = retest_answer(
        facts(),
        &asked("msr20", Some(Size::Percent(2.5)), None),
        &Choices::default(),
    );
    let words = refused.expect_err("refused").to_string();
    assert!(words.contains("give the result now (--from)"), "{words}");
    // 6 % on the ln scale: exp(1.96 root 2 ln 1.06) - 1 = 17.53 %.
    let a = answer(&asked("ir1", Some(Size::InUnit(20.0)), Some(1_000.0)));
    assert!((a.detectable.expect("known") - 17.53).abs() < 0.01, "{a:?}");
    assert!(a.words.iter().any(|w| w.contains("half of the cases only")));
}

#[test]
fn a_fast_gain_is_held_back_and_an_unknown_error_gives_no_date() {
    let soon = answer(&asked("ir1", Some(Size::Percent(20.0)), None));
    assert!(
        soon.words
            .iter()
            .any(|w| w.contains("4 to 8 weeks is the shortest"))
    );
    let none = answer(&asked("track_2min", Some(Size::Percent(1.0)), None));
    assert_eq!((none.detectable, none.weeks_even), (None, None));
    assert!(none.words[0].contains("No date can be given"));
    let open = answer(&asked("ir1", None, None));
    assert!(open.gain_needed.is_some() && open.weeks_even.is_none());
    let never = retest_answer(
        facts(),
        &asked("ir1", Some(Size::Percent(0.001)), None),
        &Choices::default(),
    );
    assert!(
        never
            .expect_err("refused")
            .to_string()
            .contains("more than ten years")
    );
}

#[test]
fn a_precision_takes_trials_or_people() {
    // 2 (6 / 3)^2 = 8 trials; the mean of 8 + 1 people.
    let p = precision(6.0, 3.0, "%").expect("numbers");
    assert_eq!((p.trials_each, p.people), (8, 9));
    assert!(p.people_for_own_error > 10);
    assert!(precision(6.0, 0.0, "%").is_err());
}
