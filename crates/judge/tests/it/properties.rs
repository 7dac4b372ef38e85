//! Laws of the fold: any order, any doubles, any delay give the same state; no set makes it panic.

use plimsoll_judge::{
    DeviceId, Event, Fold, MissPlace, ReadingKind, ResumeChoice, Role, Ruling, Side, StopReason,
    What,
};
use proptest::collection::vec;
use proptest::prelude::*;
use uuid::Uuid;

use crate::support::{Script, runner};

const DEVICES: [(&str, Role); 4] = [
    ("lead", Role::Lead),
    ("phone-a", Role::Assessor),
    ("phone-b", Role::Assessor),
    ("medic", Role::Medic),
];

/// The id of the n-th random event.
fn id(n: usize) -> Uuid {
    Uuid::from_u128(0x0194_0000_0000_7000_8000_0000_0000_0000 + n as u128)
}

fn what() -> impl Strategy<Value = What> {
    let lane = 1u16..6;
    let at = 0usize..40;
    prop_oneof![
        4 => (lane.clone(), proptest::option::of((1u32..30, 1u32..3))).prop_map(|(lane, place)| {
            What::Miss { lane, bout: place.map(|p| p.0), cue: place.map(|p| p.1), place: MissPlace::Zone }
        }),
        2 => (lane.clone(), 1u32..30, 1u32..3)
            .prop_map(|(lane, bout, cue)| What::Reached { lane, bout, cue }),
        4 => (lane.clone(), 0usize..9)
            .prop_map(|(lane, n)| What::Stop { lane, reason: StopReason::ALL[n] }),
        4 => at.clone().prop_map(|n| What::Undo { event: id(n) }),
        1 => (lane.clone(), at.clone(), any::<bool>(), any::<bool>()).prop_map(|(lane, n, stop, none)| {
            let about = if stop { "stop".to_owned() } else { format!("undo:{}", id(n)) };
            let stands = if none { Side::None } else { Side::Event { id: id(n) } };
            What::Ruled { ruling: Ruling { lane, about, stands } }
        }),
        1 => (lane.clone(), at.clone()).prop_map(|(lane, n)| {
            What::Excused { lane, miss: id(n), why: "interference".to_owned() }
        }),
        1 => (lane.clone(), proptest::option::of(0u32..40))
            .prop_map(|(lane, n)| What::Correction { lane, completed: n, reason: Some(StopReason::Injury) }),
        1 => lane.clone().prop_map(|lane| What::EarlyStart { lane }),
        1 => lane.clone().prop_map(|lane| What::NotStarted { lane }),
        1 => (lane.clone(), 1u32..10).prop_map(|(lane, bout)| {
            let mut late = runner(lane);
            late.from_bout = bout;
            What::Joined { runner: Box::new(late) }
        }),
        1 => Just(What::Interrupted { why: "silence".to_owned() }),
        1 => (at, 0u8..3, 1u32..30).prop_map(|(n, which, bout)| What::Resumed {
            interruption: id(n),
            how: match which {
                0 => ResumeChoice::AtBout { bout },
                1 => ResumeChoice::Void,
                _ => ResumeChoice::LowerBound,
            },
        }),
        1 => lane.prop_map(|lane| What::Read { lane, what: ReadingKind::HeartRate, value: 180, after_s: 60 }),
        1 => Just(What::Closed {}),
        1 => Just(What::Reopened { why: "again".to_owned() }),
    ]
}

fn events() -> impl Strategy<Value = Vec<Event>> {
    vec(
        (what(), 0usize..4, proptest::option::of(0i64..600_000)),
        0..40,
    )
    .prop_map(|drafts| {
        let mut events = Script::of("ir1", 5).started().events;
        let mut seqs = [100u64; 4];
        for (n, (what, device, cue_ms)) in drafts.into_iter().enumerate() {
            seqs[device] += 1;
            let (name, role) = DEVICES[device];
            events.push(Event {
                v: 1,
                id: id(n),
                device: DeviceId(name.to_owned()),
                seq: seqs[device],
                // Some share a count, as devices out of touch do.
                order: 3 + n as u64 / 2,
                at_ms: 1_795_000_000_000,
                cue_ms,
                cue_pm_ms: None,
                role,
                by: None,
                what,
            });
        }
        events
    })
}

/// A set of events, and the same set as it may arrive: shuffled, some of it twice.
fn arrivals() -> impl Strategy<Value = (Vec<Event>, Vec<Event>)> {
    events().prop_flat_map(|events| {
        let n = events.len();
        (Just(events), vec(0..n, 0..n)).prop_flat_map(|(events, twice)| {
            let mut arriving = events.clone();
            arriving.extend(twice.into_iter().map(|at| events[at].clone()));
            (Just(events), Just(arriving).prop_shuffle())
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_order_and_any_doubles_give_the_same_state((events, arriving) in arrivals()) {
        let fold = Fold::new(Script::of("ir1", 1).test).expect("paced");
        let (wanted, got) = (fold.state(&events), fold.state(&arriving));
        prop_assert_eq!(wanted.results(), got.results());
        prop_assert_eq!(wanted, got);
    }

    #[test]
    fn every_runner_is_accounted_for_once(events in events()) {
        let state = Fold::new(Script::of("ir1", 1).test).expect("paced").state(&events);
        let count = state.read_back();
        prop_assert_eq!(count.planned as usize, state.lanes.len());
        prop_assert_eq!(
            count.planned,
            count.scored + count.lower_bounds + count.not_started + count.void + count.open
        );
    }

    #[test]
    fn an_undo_and_its_undo_change_nothing(events in events(), pick in any::<prop::sample::Index>()) {
        let fold = Fold::new(Script::of("ir1", 1).test).expect("paced");
        let before = fold.state(&events);
        let target = events[pick.index(events.len())].id;
        let mut script = Script::of("ir1", 1);
        script.events = events;
        let order = script.events.iter().map(|e| e.order).max().unwrap_or(1);
        for (n, what) in [(1, What::Undo { event: target }), (2, What::Undo { event: id(901) })] {
            let event = Event {
                v: 1,
                id: id(900 + n),
                device: DeviceId("lead-2".to_owned()),
                seq: n as u64,
                order: order + n as u64,
                at_ms: 1_795_000_000_000,
                cue_ms: None,
                cue_pm_ms: None,
                role: Role::Lead,
                by: None,
                what,
            };
            script.events.push(event);
        }
        let after = fold.state(&script.events);
        prop_assert_eq!(before.lanes, after.lanes);
        prop_assert_eq!(before.conflicts, after.conflicts);
        prop_assert_eq!(before.closed, after.closed);
    }
}
