//! The test day: plans that hold together, openings without reasons, outcomes with what was around.

use std::collections::{BTreeMap, BTreeSet};

use plimsoll_desk::test_day::{
    Around, Arrival, Code, Expected, Participation, deal, easier_form, opening, outcomes,
    read_paper, rehearsal, write_paper,
};
use plimsoll_judge::{
    DeviceId, Event, Fold, LaneStatus, ReadingKind, Role, Settlement, VERSION, What,
};
use plimsoll_ladder::{Catalogue, Test};
use uuid::Uuid;

fn runners(n: u32) -> Vec<Expected> {
    (0..n)
        .map(|at| Expected {
            person: Uuid::from_u128(u128::from(at) + 1).to_string(),
            bib: Some((at + 1).to_string()),
            // Every fifth is a newcomer.
            bouts: (at % 5 != 0).then_some(20 + (at * 7) % 30),
        })
        .collect()
}

fn names(runners: &[Expected]) -> BTreeMap<String, String> {
    let name = |at: usize| format!("Runner {at}");
    let each = runners.iter().enumerate();
    each.map(|(at, r)| (r.person.clone(), name(at))).collect()
}

#[test]
fn a_dealt_plan_holds_together_whatever_the_numbers() {
    for n in 1..40 {
        for (lanes, assessors) in [(12, 2), (24, 3), (8, 1), (5, 9)] {
            let plan = deal("ir1", &runners(n), lanes, assessors);
            assert_eq!(plan.faults(), []);
            let people: usize = plan.waves.iter().map(|w| w.runners.len()).sum();
            assert_eq!(people, n as usize);
            assert!(
                plan.waves
                    .iter()
                    .all(|w| w.runners.len() <= usize::from(lanes))
            );
        }
    }
}

#[test]
fn similar_runners_are_watched_by_different_people() {
    let all = runners(24);
    let plan = deal("ir1", &all, 24, 3);
    let bouts: BTreeMap<&str, u32> = all
        .iter()
        .map(|r| (r.person.as_str(), r.bouts.unwrap_or(35)))
        .collect();
    let wave = &plan.waves[0];
    for assessor in &wave.assessors {
        assert_eq!(assessor.lanes.len(), 8);
        let mut own: Vec<u32> = wave
            .runners
            .iter()
            .filter(|r| assessor.lanes.contains(&r.lane))
            .map(|r| bouts[r.person.as_str()])
            .collect();
        own.sort_unstable();
        let span = own[7] - own[0];
        assert!(span >= 20, "stops of a block spread over the run: {own:?}");
    }
}

#[test]
fn a_plan_does_not_depend_on_the_order_of_the_roster() {
    let mut turned = runners(24);
    let plan = deal("ir1", &turned, 12, 2);
    turned.reverse();
    assert_eq!(plan, deal("ir1", &turned, 12, 2));
}

fn opened(codes: &[(usize, Code)]) -> (&'static Test, plimsoll_judge::Opening) {
    static SHIPPED: std::sync::OnceLock<Catalogue> = std::sync::OnceLock::new();
    let catalogue = SHIPPED.get_or_init(Catalogue::built_in);
    let test = catalogue.get("ir1").expect("shipped");
    let all = runners(24);
    let plan = deal("ir1", &all, 24, 3);
    let codes = codes
        .iter()
        .map(|(at, code)| (all[*at].person.clone(), *code))
        .collect();
    let opening = opening(&plan.waves[0], test, catalogue, &names(&all), &codes);
    (test, opening.expect("opens"))
}

#[test]
fn codes_shape_the_wave_and_carry_no_reason() {
    let (test, opening) = opened(&[(3, Code::Submaximal), (4, Code::NotToday)]);
    assert_eq!(opening.lanes.len(), 23);
    let all = runners(24);
    let easy: Vec<_> = opening
        .lanes
        .iter()
        .filter(|l| l.ends_at.is_some())
        .collect();
    assert_eq!(easy.len(), 1);
    assert_eq!(easy[0].person, all[3].person);
    assert_eq!(easy[0].ladder.as_deref(), Some("ir1_sub6"));
    let catalogue = Catalogue::built_in();
    let (_, last) = easier_form(&catalogue, test).expect("there is one");
    assert_eq!(easy[0].ends_at, Some(last));
    // Source: protocols/ir1_sub6.toml: the form ends with bout 14.7.
    let label = &test
        .ladder()
        .expect("paced")
        .by_number(last)
        .expect("there")
        .label;
    assert_eq!(label, "14.7");
    let ir2 = catalogue.get("ir2").expect("shipped");
    assert!(
        easier_form(&catalogue, ir2).is_none(),
        "its cues differ from the first bout on"
    );
}

#[test]
fn a_paper_comes_back_and_takes_nothing_else() {
    let paper = write_paper(&Participation {
        code: Code::Submaximal,
    });
    assert_eq!(paper["format"], 1);
    let back: Participation = read_paper("participation", &paper).expect("read");
    assert_eq!(back.code, Code::Submaximal);
    let mut spiked = paper.clone();
    spiked["reason"] = "a reason".into();
    let fault = read_paper::<Participation>("participation", &spiked).expect_err("refused");
    assert!(
        fault.to_string().contains("unknown field `reason`"),
        "{fault}"
    );
}

#[test]
fn a_rehearsed_wave_accounts_for_everyone_and_brings_what_was_around() {
    let (test, opening) = opened(&[(3, Code::Submaximal)]);
    let fold = Fold::new(test).expect("paced");
    let taps = rehearsal::taps(&opening, fold.index(), 11);
    assert_eq!(taps, rehearsal::taps(&opening, fold.index(), 11));
    assert_ne!(taps, rehearsal::taps(&opening, fold.index(), 12));
    let mut events = Vec::new();
    let mut add = |device: &str, role, cue_ms, what| {
        let n = events.len() as u64 + 1;
        events.push(Event {
            v: VERSION,
            id: Uuid::from_u128(u128::from(n)),
            device: DeviceId(device.to_owned()),
            seq: n,
            order: n,
            at_ms: 1_795_000_000_000,
            cue_ms,
            cue_pm_ms: None,
            role,
            by: None,
            what,
        });
    };
    let lanes: Vec<u16> = opening.lanes.iter().map(|l| l.lane).collect();
    let plan = Box::new(opening.clone());
    add("lead", Role::Lead, None, What::Opened { plan });
    add(
        "lead",
        Role::Lead,
        Some(0),
        What::Started {
            lanes: lanes.clone(),
        },
    );
    for tap in &taps {
        let device = format!("phone-{}", tap.assessor);
        add(&device, Role::Assessor, Some(tap.cue_ms), tap.what.clone());
    }
    for (what, value, after_s) in [
        (ReadingKind::HeartRate, 191, 4),
        (ReadingKind::HeartRate, 158, 62),
        (ReadingKind::HeartRate, 131, 118),
        (ReadingKind::Exertion, 85, 300),
    ] {
        let lane = lanes[0];
        add(
            "medic",
            Role::Medic,
            None,
            What::Read {
                lane,
                what,
                value,
                after_s,
            },
        );
    }
    let state = fold.state(&events);
    assert!(state.lanes.iter().all(|l| l.status == LaneStatus::Stopped));
    let count = state.read_back();
    assert_eq!((count.planned, count.started, count.open), (24, 24, 0));
    let person = opening.lanes[0].person.clone();
    let around = Around {
        arrivals: BTreeMap::from([(
            person.clone(),
            Arrival {
                sleep_h: Some(6.5),
                caffeine: Some(true),
                ran_before: Some(false),
                ..Arrival::default()
            },
        )]),
        start: None,
        trial: BTreeMap::from([(person.clone(), 3)]),
    };
    let given = outcomes(&state, &around);
    assert_eq!(given.len(), 24);
    let people: BTreeSet<_> = given.iter().map(|g| g.person).collect();
    assert_eq!(people.len(), 24);
    let first = given.iter().find(|g| g.person.to_string() == person);
    let facts = first.and_then(|g| g.facts.clone()).expect("a result");
    assert_eq!(
        (
            facts.peak_hr_bpm,
            facts.hr_60s_bpm,
            facts.hr_120s_bpm,
            facts.rpe
        ),
        (Some(191), Some(158), Some(131), Some(8.5))
    );
    assert_eq!(
        (facts.rpe_minutes_after, facts.trial_number),
        (Some(5.0), Some(3))
    );
    assert_eq!(
        (
            facts.covariates.sleep_h,
            facts.covariates.caffeine,
            facts.covariates.wave_size
        ),
        (Some(6.5), Some(true), Some(24))
    );
    let easy = state
        .results()
        .into_iter()
        .filter(|r| matches!(&r.settlement, Settlement::Outcome(o) if o.ladder == "ir1_sub6"));
    assert!(easy.count() <= 1);
}
