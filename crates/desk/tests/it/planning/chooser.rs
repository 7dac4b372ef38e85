//! The chooser: what can be predicted, what cannot and why, in numbers that add up.

use plimsoll_desk::Choices;
use plimsoll_desk::planning::{Answer, Forecast, Group, PopulationAsked, Predicted, choose};
use plimsoll_interpret::{Sex, Size};

use super::{catalogue, facts, roster};

fn of(group: &Group, choices: &Choices) -> Vec<Forecast> {
    choose(catalogue(), facts(), group, choices).expect("answers")
}

fn find<'a>(all: &'a [Forecast], id: &str) -> &'a Forecast {
    all.iter().find(|f| f.test == id).expect("paced")
}

fn predicted(forecast: &Forecast) -> &Predicted {
    match &forecast.answer {
        Answer::Predicted(p) => p,
        Answer::CannotBePredicted { why } => panic!("{}: {why}", forecast.test),
    }
}

fn why(forecast: &Forecast) -> &str {
    match &forecast.answer {
        Answer::Predicted(_) => panic!("{} is predicted", forecast.test),
        Answer::CannotBePredicted { why } => why,
    }
}

#[test]
fn a_roster_is_predicted_on_its_own_test_and_on_the_same_cues_only() {
    let bouts: Vec<Option<u32>> = (0..24).map(|n| Some(14 + n)).collect();
    let all = of(&Group::Roster(roster("ir1", &bouts)), &Choices::default());
    let own = find(&all, "ir1");
    let p = predicted(own);
    assert_eq!((p.runners, p.left_out), (24, 0));
    let stopped: f64 = p.stops.iter().map(|s| s.1).sum();
    assert!((stopped + p.at_end - 24.0).abs() < 1e-9);
    assert!(p.last_stop_s < p.last_stop_90_s && p.last_stop_90_s < p.test_s);
    assert_eq!(own.easier.as_deref(), Some("ir1_sub6"));
    assert!(own.easier_same_cues && own.detectable.is_some());
    // The same cues: who passes 6 min of the test reaches the end of the 6 min form.
    let easy = predicted(find(&all, "ir1_sub6"));
    let later: f64 = p
        .stops
        .iter()
        .filter(|s| s.0 > easy.test_s + 1.0)
        .map(|s| s.1)
        .sum();
    assert!(
        (easy.at_end - later).abs() < 1e-6,
        "{} {later}",
        easy.at_end
    );
    // The changes of the two levels do not go together: nothing is converted.
    assert!(why(find(&all, "ir2")).contains("no published conversion from ir1"));
    let mark = |f: &&Forecast| matches!(f.answer, Answer::Predicted(_));
    assert_eq!(all.iter().filter(mark).count(), 2);
    assert!(
        all.iter().take(2).all(|f| mark(&f)),
        "what can be predicted comes first"
    );
}

#[test]
fn a_weak_group_is_told_that_the_start_is_fast_and_a_strong_one_that_it_is_short() {
    let weak = Group::Roster(roster(
        "ir1",
        &[Some(2), Some(3), Some(30), Some(31), Some(33), Some(35)],
    ));
    let all = of(&weak, &Choices::default());
    let p = predicted(find(&all, "ir1"));
    assert!((1.5..2.3).contains(&p.out_early), "{}", p.out_early);
    assert!(p.words[0].starts_with("Two of 6 are likely out in the first two minutes"));
    assert!(p.against[0].contains("the start is fast"));
    let strong = Group::Roster(roster("ir1", &[Some(91); 4]));
    let all = of(&strong, &Choices::default());
    let p = predicted(find(&all, "ir1"));
    assert!(p.share_at_end > 0.4 && p.against.iter().any(|a| a.contains("short for this group")));
    assert!(p.basis.contains("may understate"));
}

#[test]
fn too_few_results_and_no_error_are_answers() {
    let few = [Some(20), None, None, None, None];
    let all = of(&Group::Roster(roster("ir1", &few)), &Choices::default());
    assert_eq!(
        why(find(&all, "ir1")),
        "only 1 of 5 have a result that counts for it"
    );
    let none = of(
        &Group::Roster(roster("ir1", &[None, None])),
        &Choices::default(),
    );
    assert!(
        none.iter()
            .all(|f| why(f).contains("nobody on this roster has an earlier result"))
    );
    // No reliability of this test is published: an error set by hand makes it predictable.
    let track = Group::Roster(roster("track_2min", &[Some(20), Some(22), Some(25)]));
    let all = of(&track, &Choices::default());
    assert!(why(find(&all, "track_2min")).contains("no adequate error estimate"));
    let by_hand = Choices {
        error: Some(Size::Percent(5.0)),
        ..Choices::default()
    };
    let all = of(&track, &by_hand);
    assert_eq!(predicted(find(&all, "track_2min")).runners, 3);
}

#[test]
fn newcomers_are_drawn_from_a_squad_that_is_known_and_left_out_of_one_that_is_not() {
    let mut bouts = vec![Some(20), Some(24), Some(28), Some(32), Some(36), None];
    let all = of(&Group::Roster(roster("ir1", &bouts)), &Choices::default());
    assert_eq!(predicted(find(&all, "ir1")).runners, 6);
    bouts.remove(0);
    let all = of(&Group::Roster(roster("ir1", &bouts)), &Choices::default());
    let p = predicted(find(&all, "ir1"));
    assert_eq!((p.runners, p.left_out), (4, 1));
    assert!(
        p.words
            .iter()
            .any(|w| w.contains("1 of the roster is left out"))
    );
}

/// Source: Mohr & Krustrup 2013 (abstract): 19 elite men, 1032 m on level 2, SD 183 m from SEM 42.
#[test]
fn a_population_stops_about_its_mean() {
    let asked = PopulationAsked {
        sex: Sex::Male,
        age: 26.0,
        standard: Some("elite champions-level".to_owned()),
        runners: 200,
    };
    let all = of(&Group::Population(asked), &Choices::default());
    let p = predicted(find(&all, "ir2"));
    let used = p.population.as_ref().expect("named");
    assert!((used.mean - 1_032.0).abs() < 1e-9 && (used.sd - 183.07).abs() < 0.01);
    // Mean score: 40 m a bout; the scores of the source are whole bouts, half a bout of rounding.
    let bouts: f64 = p
        .stops
        .iter()
        .zip(0..)
        .map(|(s, k)| s.1 * f64::from(k))
        .sum();
    let mean = 40.0 * bouts / 200.0;
    assert!((mean - 1_032.0).abs() < 10.0, "{mean}");
    assert!(why(find(&all, "ir1c")).contains("no reference with mean and SD"));
    let female = PopulationAsked {
        sex: Sex::Female,
        age: 3.0,
        standard: None,
        runners: 5,
    };
    let none = of(&Group::Population(female), &Choices::default());
    assert!(
        none.iter()
            .all(|f| matches!(f.answer, Answer::CannotBePredicted { .. }))
    );
}
