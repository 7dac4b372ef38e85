//! The watch list: in order, with misses, without who is out, and without anybody's result.

use std::collections::BTreeMap;

use plimsoll_desk::Choices;
use plimsoll_desk::planning::{Watched, predictions, watch};
use plimsoll_desk::test_day::{Code, Expected, deal, opening};
use plimsoll_judge::{DeviceId, Event, Fold, Role, StopReason, VERSION, WaveState, What};
use uuid::Uuid;

use super::{catalogue, facts, roster};

/// Runners p001 to p006, the last one a newcomer, the first one on the easier form.
const BOUTS: [Option<u32>; 6] = [Some(30), Some(20), Some(25), Some(40), Some(35), None];

/// What happens in a wave, by the lanes of its runners.
type Told<'a> = dyn Fn(&BTreeMap<String, u16>) -> Vec<(Option<i64>, What)> + 'a;

fn run(events: &Told<'_>) -> (WaveState, BTreeMap<String, u16>) {
    let test = catalogue().get("ir1").expect("shipped");
    let runners: Vec<Expected> = BOUTS
        .iter()
        .zip(1..)
        .map(|(bouts, n): (_, u32)| Expected {
            person: format!("p{n:03}"),
            bib: None,
            bouts: *bouts,
        })
        .collect();
    let names = runners
        .iter()
        .map(|r| (r.person.clone(), format!("Runner {}", r.person)))
        .collect();
    let codes = BTreeMap::from([("p001".to_owned(), Code::Submaximal)]);
    let plan = deal("ir1", &runners, 24, 2);
    let opened = opening(&plan.waves[0], test, catalogue(), &names, &codes).expect("opens");
    let lanes: BTreeMap<String, u16> = opened
        .lanes
        .iter()
        .map(|l| (l.person.clone(), l.lane))
        .collect();
    let all = lanes.values().copied().collect();
    let mut script = vec![
        (
            None,
            What::Opened {
                plan: Box::new(opened),
            },
        ),
        (Some(0), What::Started { lanes: all }),
    ];
    script.extend(events(&lanes));
    let events: Vec<Event> = script
        .into_iter()
        .zip(1..)
        .map(|((cue_ms, what), n)| Event {
            v: VERSION,
            id: Uuid::from_u128(u128::from(n)),
            device: DeviceId("a".to_owned()),
            seq: n,
            order: n,
            at_ms: 1_795_000_000_000,
            cue_ms,
            cue_pm_ms: None,
            role: Role::Lead,
            by: None,
            what,
        })
        .collect();
    (Fold::new(test).expect("paced").state(&events), lanes)
}

fn listed(state: &WaveState, bout: u32) -> Vec<Watched> {
    let test = catalogue().get("ir1").expect("shipped");
    let roster = roster("ir1", &BOUTS);
    let known = predictions(catalogue(), facts(), test, &roster, &Choices::default());
    watch(state, &known.expect("paced"), bout)
}

#[test]
fn the_one_nearest_the_end_comes_first_and_nobody_after_the_end_of_their_form() {
    let (state, lanes) = run(&|_| Vec::new());
    let list = listed(&state, 20);
    assert_eq!(list.len(), 5, "the easier form has ended: {list:?}");
    assert_eq!(list[0].lane, lanes["p002"]);
    let chances: Vec<f64> = list.iter().map(|w| w.probability.expect("known")).collect();
    assert!(chances.is_sorted_by(|a, b| a >= b), "{chances:?}");
    assert!(chances.iter().all(|p| (0.0..=1.0).contains(p)));
    assert_eq!(list[0].why, "near the expected end");
    let strong = list.iter().find(|w| w.lane == lanes["p004"]).expect("runs");
    assert_eq!(strong.why, "well before the expected end");
    // No result is told: no digit in any reason.
    assert!(
        list.iter()
            .all(|w| !w.why.chars().any(|c| c.is_ascii_digit()))
    );
    assert!(listed(&state, 91).is_empty() && listed(&state, u32::MAX).is_empty());
    assert_eq!(listed(&state, 5).len(), 6);
}

#[test]
fn a_miss_raises_a_chance_and_a_stop_takes_the_lane_out() {
    let (plain, lanes) = run(&|_| Vec::new());
    let test = catalogue().get("ir1").expect("shipped");
    let finish = test
        .ladder()
        .expect("paced")
        .by_number(20)
        .expect("there")
        .finish;
    let at = finish.as_nanos() / 1_000_000 + 150;
    let (state, _) = run(&|lanes| {
        let miss = What::Miss {
            lane: lanes["p004"],
            bout: None,
            cue: None,
            place: plimsoll_judge::MissPlace::Zone,
        };
        let stop = What::Stop {
            lane: lanes["p002"],
            reason: StopReason::Exhaustion,
        };
        vec![(Some(at), miss), (Some(at + 500), stop)]
    });
    let of = |state: &WaveState, person: &str| {
        let all = listed(state, 20);
        all.into_iter().find(|w| w.lane == lanes[person])
    };
    let (before, after) = (
        of(&plain, "p004").expect("runs"),
        of(&state, "p004").expect("runs"),
    );
    assert!(after.probability > before.probability, "{after:?}");
    assert!(
        after.why.contains("one miss counts, the next ends the run"),
        "{}",
        after.why
    );
    assert_eq!(of(&state, "p002"), None);
}

#[test]
fn a_wave_not_started_watches_nobody_and_an_unknown_wave_has_no_chances() {
    let empty = Fold::new(catalogue().get("ir1").expect("shipped"))
        .expect("paced")
        .state(&[]);
    assert!(listed(&empty, 0).is_empty());
    let (state, _) = run(&|_| Vec::new());
    let test = catalogue().get("ir1").expect("shipped");
    let nobody = roster("ir1", &[None; 6]);
    let known =
        predictions(catalogue(), facts(), test, &nobody, &Choices::default()).expect("paced");
    let list = watch(&state, &known, 5);
    assert!(
        list.iter()
            .all(|w| w.probability.is_none() && w.why == "no earlier result to go by")
    );
    assert!(known.basis.starts_with("no predictions"));
    let run12 = catalogue().get("run12").expect("shipped");
    assert!(predictions(catalogue(), facts(), run12, &nobody, &Choices::default()).is_err());
}
