//! Waves: each event once, results all or nothing, papers in force, the archive sound throughout.

use plimsoll_archive::{
    Archive, ArchiveError, DayId, NewEvent, PaperKind, ResultFacts, Stored, WaveId, WaveOutcome,
};
use plimsoll_judge::{Amount, Outcome, StopReason};
use serde_json::json;
use uuid::Uuid;

use crate::support::{Bench, assert_sound, day, exported, files, squad};

fn event(n: u128, device: &str, seq: u64) -> NewEvent {
    NewEvent {
        id: Uuid::from_u128(n),
        device: device.to_owned(),
        seq,
        body: json!({"n": n.to_string()}).to_string(),
    }
}

fn a_wave(bench: &mut Bench) -> (DayId, WaveId) {
    let day = bench.writer.add_day(&day("2026-11-25")).expect("taken");
    let wave = bench.writer.add_wave(day, 1, "first").expect("taken");
    (day, wave)
}

fn result(bouts: u32, reason: StopReason) -> ResultFacts {
    ResultFacts::of(Outcome {
        ladder: "ir1".to_owned(),
        amount: Amount::Bouts(bouts),
        reason,
    })
}

#[test]
fn an_event_is_stored_once_however_often_it_is_sent() {
    let mut bench = Bench::new();
    let (_, wave) = a_wave(&mut bench);
    let batch = [
        (wave, event(1, "a", 1)),
        (wave, event(2, "a", 2)),
        (wave, event(1, "a", 1)),
    ];
    let stored = bench.writer.append_events(&batch).expect("stored");
    assert_eq!(stored, [Stored::New, Stored::New, Stored::Already]);
    let again = bench.writer.append_events(&batch).expect("stored");
    assert_eq!(again, [Stored::Already; 3]);
    let clash = [(wave, event(3, "a", 2)), (wave, event(4, "b", 2))];
    let stored = bench.writer.append_events(&clash).expect("stored");
    assert_eq!(stored, [Stored::NumberTaken, Stored::New]);
    let events = bench.writer.wave_events(wave, 0).expect("read");
    let got: Vec<_> = events.iter().map(|e| (e.nth, e.id.as_u128())).collect();
    assert_eq!(got, [(1, 1), (2, 2), (3, 4)]);
    assert_eq!(events[1].body, event(2, "a", 2).body);
    assert_eq!(bench.writer.wave_events(wave, 2).expect("read").len(), 1);
    assert_sound(&bench.writer);
}

#[test]
fn an_event_of_another_wave_is_not_taken_for_this_one() {
    let mut bench = Bench::new();
    let (day, one) = a_wave(&mut bench);
    let two = bench.writer.add_wave(day, 2, "second").expect("taken");
    bench
        .writer
        .append_events(&[(one, event(1, "a", 1))])
        .expect("stored");
    let replayed = bench
        .writer
        .append_events(&[(two, event(1, "a", 1))])
        .expect("answered");
    assert_eq!(replayed, [Stored::NumberTaken]);
    assert!(bench.writer.wave_events(two, 0).expect("read").is_empty());
}

#[test]
fn a_batch_with_a_fault_leaves_nothing() {
    let mut bench = Bench::new();
    let (_, wave) = a_wave(&mut bench);
    let mut broken = event(2, "a", 2);
    broken.body = "not JSON".to_owned();
    let error = bench
        .writer
        .append_events(&[(wave, event(1, "a", 1)), (wave, broken)])
        .expect_err("refused");
    assert!(
        matches!(&error, ArchiveError::Value { column, .. } if column == "body"),
        "{error}"
    );
    assert!(bench.writer.wave_events(wave, 0).expect("read").is_empty());
    let nowhere = WaveId(Uuid::from_u128(9));
    let error = bench
        .writer
        .append_events(&[(nowhere, event(1, "a", 1))])
        .expect_err("refused");
    assert!(matches!(error, ArchiveError::NotFound { what: "wave", .. }));
    assert_sound(&bench.writer);
}

#[test]
fn closing_again_corrects_withdraws_and_leaves_alone() {
    let mut bench = Bench::new();
    let (day, wave) = a_wave(&mut bench);
    let people = squad(&mut bench.writer, "squad.csv", &["Ilo", "Bea", "Cai"]);
    let outcome = |at: usize, facts: Option<ResultFacts>| WaveOutcome {
        person: people[at],
        facts,
    };
    let first = bench
        .writer
        .close_wave(
            wave,
            &[event(1, "lead", 1)],
            &[
                outcome(0, Some(result(20, StopReason::Exhaustion))),
                outcome(1, Some(result(30, StopReason::Misses))),
                outcome(2, Some(result(9, StopReason::Injury))),
            ],
        )
        .expect("closed");
    assert_eq!(first.len(), 3);
    let second = bench
        .writer
        .close_wave(
            wave,
            &[event(2, "lead", 2)],
            &[
                outcome(0, Some(result(20, StopReason::Exhaustion))),
                outcome(1, Some(result(29, StopReason::Misses))),
                outcome(2, None),
            ],
        )
        .expect("closed");
    assert_eq!(second.len(), 2, "one corrected, one withdrawn, one left");
    let filter = plimsoll_archive::ResultFilter {
        day: Some(day),
        ..Default::default()
    };
    let in_force = bench.writer.results(&filter).expect("read");
    let mut got: Vec<_> = in_force
        .iter()
        .map(|r| r.facts.outcome.amount.to_parts().1)
        .collect();
    got.sort_unstable();
    assert_eq!(got, [20, 29]);
    assert_eq!(bench.writer.wave_events(wave, 0).expect("read").len(), 2);
    assert_sound(&bench.writer);
}

#[test]
fn the_latest_paper_of_a_kind_and_subject_is_in_force_and_comes_through_an_export() {
    let mut bench = Bench::new();
    let (day, wave) = a_wave(&mut bench);
    let ilo = squad(&mut bench.writer, "squad.csv", &["Ilo"])[0];
    for (subject, note) in [(None, "a"), (Some("w1"), "b"), (None, "c")] {
        bench
            .writer
            .add_paper(
                day,
                PaperKind::Plan,
                subject,
                &json!({"format": 1, "note": note}),
            )
            .expect("taken");
    }
    bench
        .writer
        .add_health_note(day, ilo, &json!({"format": 1, "reason": "asthma"}))
        .expect("taken");
    bench
        .writer
        .append_events(&[(wave, event(1, "a", 1))])
        .expect("stored");
    let now = |subject| {
        let paper = bench.writer.paper(day, PaperKind::Plan, subject);
        paper.expect("read").expect("there").document["note"].clone()
    };
    assert_eq!((now(None), now(Some("w1"))), (json!("c"), json!("b")));
    assert_eq!(bench.writer.papers(day).expect("read").len(), 3);
    let journal = bench.writer.journal().expect("read");
    assert!(
        journal.iter().all(|c| !c.summary.contains("asthma")
            && (c.kind != plimsoll_archive::ChangeKind::HealthNoteAdded
                || !c.summary.contains("Ilo"))),
        "the journal says neither who nor why"
    );
    let (to, back) = (bench.path("export"), bench.path("back"));
    bench.writer.export(&to).expect("exported");
    Archive::restore(&to, &back).expect("restored");
    let restored = Archive::open_reader(&back).expect("an archive");
    assert_eq!(exported(&restored), files(&to));
    let events = |archive: &Archive| archive.wave_events(wave, 0).expect("read");
    assert_eq!(events(&restored), events(&bench.writer));
    assert_eq!(restored.health_notes(day).expect("read").len(), 1);
}
