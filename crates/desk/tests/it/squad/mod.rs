//! Questions about a squad out of an archive: assessors on one lane, stops together, low peaks, stage starts.

mod club;

use plimsoll_desk::Choices;
use plimsoll_desk::squad::{Ask, SquadError, answers};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_judge::{Fold, MissPlace, StopReason, What};

use club::{Club, PEOPLE};

/// Levels far enough apart that people do not stop together by themselves.
fn usual(person: usize, day: usize) -> u32 {
    16 + 4 * person as u32 + ((person + day) % 2) as u32
}

fn miss(lane: u16, bout: u32) -> What {
    What::Miss {
        lane,
        bout: Some(bout),
        cue: Some(2),
        place: MissPlace::Zone,
    }
}

/// By hand: 20 cues of ten bouts; "a" calls 9.2 and 10.2, "b" 10.2. They agree on 19 of 20; by their own rates
/// 0.1 x 0.05 + 0.9 x 0.95 = 0.86 is expected; kappa = (0.95 - 0.86) / 0.14 = 0.643.
#[test]
fn two_assessors_of_one_lane_are_compared_and_others_are_not() {
    let mut club = Club::new(|person, day| (usual(person, day), None));
    let alone = club.ask(3).assessors;
    assert!(alone.answer.is_none() && alone.says[0].contains("Only a sheet is kept"));
    let fold = Fold::new(club.test()).expect("paced");
    let tenth = fold
        .index()
        .cues()
        .iter()
        .rfind(|c| c.bout == 10)
        .expect("there")
        .at_ns
        / 1_000_000;
    let stop = |lane| What::Stop {
        lane,
        reason: StopReason::Misses,
    };
    club.wave(&[
        ("a", tenth - 20_000, miss(1, 9)),
        ("a", tenth, miss(1, 10)),
        ("b", tenth, miss(1, 10)),
        ("a", tenth + 3_000, stop(1)),
        ("b", tenth + 3_500, stop(1)),
        ("c", tenth, miss(2, 8)),
    ]);
    let found = club.ask(3).assessors;
    let answer = found.answer.expect("an answer");
    assert_eq!((answer.shared_lanes, answer.pairs.len()), (1, 1));
    let pair = &answer.pairs[0];
    assert_eq!((pair.first.as_str(), pair.second.as_str()), ("a", "b"));
    assert_eq!((pair.lanes, pair.cues, pair.called), (1, 20, 2));
    assert!((pair.kappa.expect("kappa") - 0.642_857).abs() < 1e-5);
    assert!(pair.low90 < pair.kappa && pair.kappa < pair.high90);
    assert_eq!((pair.stops.both, pair.stops.same), (1, 1));
    assert_eq!(answer.severity.len(), 2);
    let odds = |name: &str| {
        answer
            .severity
            .iter()
            .find(|s| s.assessor == name)
            .expect("there")
            .odds
    };
    assert!(odds("a") > odds("b"), "{:?}", answer.severity);
    // Three calls: pulled to the middle and said so.
    assert!(answer.severity.iter().all(|s| s.mostly_prior));
    assert!(
        found
            .says
            .iter()
            .any(|s| s.contains("more assumption than data")),
        "{:?}",
        found.says
    );
}

#[test]
fn a_wave_that_nobody_shares_says_how_to_get_an_answer() {
    let mut club = Club::new(|person, day| (usual(person, day), None));
    club.wave(&[("a", 300_000, miss(1, 8)), ("b", 300_000, miss(2, 8))]);
    let found = club.ask(3).assessors;
    assert!(found.answer.is_none());
    assert!(found.says[0].contains("Nobody judged the same lane"));
    assert!(found.settle.contains("one shared lane"));
}

#[test]
fn people_who_stop_together_are_a_hint_about_the_wave() {
    let mut quiet = Club::new(|person, day| (usual(person, day), None));
    quiet.wave(&[]);
    let together = quiet.ask(3).stops_together.answer.expect("an answer");
    assert_eq!(together.waves[0].strength, "none");
    // The eight best all stop where the fifth usually does.
    let mut crowd = Club::new(|person, day| match day {
        3 if person > 4 => (usual(4, 3), None),
        _ => (usual(person, day), None),
    });
    crowd.wave(&[]);
    let found = crowd.ask(3).stops_together;
    let wave = &found.answer.expect("an answer").waves[0];
    assert_eq!((wave.group.as_str(), wave.observed), ("Wave 1", 8));
    assert_ne!(wave.strength, "none");
    assert!(
        found.says[0].contains("about the day and not about anyone"),
        "{:?}",
        found.says
    );
    assert!(!found.says[0].contains("Person"), "nobody is named");
}

#[test]
fn stops_on_stage_starts_are_counted_against_the_ladder() {
    let club = Club::new(|person, day| (usual(person, day), None));
    let usual_day = club.ask(3).stage_starts.answer.expect("an answer");
    assert_eq!(usual_day.strength, "none");
    // Everybody stops with the last bout of a stage: 8 bouts a stage from bout 12 on.
    let ladder = club.test().ladder().expect("paced");
    let ends: Vec<u32> = ladder.stages().iter().map(|s| s.last_bout).collect();
    let nearest = |bouts: u32| {
        *ends
            .iter()
            .min_by_key(|e| e.abs_diff(bouts))
            .expect("stages")
    };
    let heaped = Club::new(|person, day| match day {
        3 => (nearest(usual(person, 3)), None),
        _ => (usual(person, day), None),
    });
    let found = heaped.ask(3).stage_starts.answer.expect("an answer");
    assert_eq!(
        (found.observed, found.runners, found.strength),
        (12, 12, "strong")
    );
    assert!(found.expected < 4.0, "{}", found.expected);
}

/// By hand: best 190 of one earlier test, SD 4 each: z = (170 - 190) / (4 root 2) = -3.54, chance 0.0002.
#[test]
fn a_low_peak_is_a_reason_to_ask() {
    let club = Club::new(|person, day| {
        let peak = match (person, day) {
            (3, 3) => Some(170),
            (_, 2 | 3) => Some(190),
            _ => None,
        };
        (usual(person, day), peak)
    });
    let found = club.ask(3).peak_heart_rate;
    let peaks = found.answer.expect("an answer");
    assert_eq!(peaks.people.len(), PEOPLE);
    let low = &peaks.people[0];
    assert_eq!(
        (low.name.as_str(), low.peak, low.best, low.earlier),
        ("Person 03", 170, 190, 1)
    );
    assert!((low.chance - 0.000_203).abs() < 2e-5, "{}", low.chance);
    assert_eq!(low.strength, "strong");
    assert!(found.says[0].contains("Person 03 170 beats a minute where about 190 were expected"));
    assert!(found.says[1].contains("A reason to ask"));
    let first = club.ask(2).peak_heart_rate;
    assert!(
        first.answer.is_none()
            && first.says[0].contains("nobody has a peak of an earlier full run")
    );
}

#[test]
fn first_days_equal_results_and_zeros_have_worded_answers() {
    let club = Club::new(|person, day| (usual(person, day), None));
    let first = club.ask(0);
    assert!(first.stage_starts.answer.is_none() && first.stops_together.answer.is_none());
    for same in [0, 1, 30] {
        let club = Club::new(|_, _| (same, None));
        let found = club.ask(3);
        let text = serde_json::to_string(&found).expect("a document");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
        assert!(
            found.lowest.answer.is_none(),
            "nobody is lower than the others"
        );
        assert!(found.lowest.says[0].len() > 20);
    }
    let mut empty = club.day(0);
    empty.facts.ladder_id = Some("nowhere".to_owned());
    let facts = Facts::built_in().expect("shipped");
    let asked = answers(
        &club.writer,
        &club.catalogue,
        &facts,
        &empty,
        &Choices::default(),
        &Ask::default(),
    );
    assert!(matches!(asked, Err(SquadError::Test { .. })));
}
