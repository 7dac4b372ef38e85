//! Laws: whatever was done before, a merge and an undo are taken back exactly.

use plimsoll_archive::{DayId, PersonId, ResultFilter, ResultId};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::support::{Bench, assert_sound, bouts, content, day, new_person, new_result, on, sheet};

/// Something a person does to an archive.
#[derive(Debug, Clone)]
enum Act {
    ImportPeople(u32),
    Relist(Index),
    ImportResults(Vec<Index>),
    AddDay,
    AddResult(Index, Index, u32),
    Correct(Index, u32),
    Withdraw(Index),
    Reassign(Index, Index),
    Rename(Index),
    Merge(Index, Index),
    Undo(Index),
    Redo(Index),
}

fn act() -> impl Strategy<Value = Act> {
    let any = any::<Index>;
    prop_oneof![
        (1_u32..4).prop_map(Act::ImportPeople),
        any().prop_map(Act::Relist),
        prop::collection::vec(any(), 1..4).prop_map(Act::ImportResults),
        Just(Act::AddDay),
        (any(), any(), 0_u32..90).prop_map(|(p, d, n)| Act::AddResult(p, d, n)),
        (any(), 0_u32..90).prop_map(|(r, n)| Act::Correct(r, n)),
        any().prop_map(Act::Withdraw),
        (any(), any()).prop_map(|(r, p)| Act::Reassign(r, p)),
        any().prop_map(Act::Rename),
        (any(), any()).prop_map(|(a, b)| Act::Merge(a, b)),
        any().prop_map(Act::Undo),
        any().prop_map(Act::Redo),
    ]
}

fn pick<T: Copy>(index: &Index, from: &[T]) -> Option<T> {
    (!from.is_empty()).then(|| *index.get(from))
}

fn people(bench: &Bench) -> Vec<PersonId> {
    bench
        .writer
        .people()
        .expect("read")
        .iter()
        .map(|person| person.id)
        .collect()
}

fn days(bench: &Bench) -> Vec<DayId> {
    bench
        .writer
        .days()
        .expect("read")
        .iter()
        .map(|day| day.id)
        .collect()
}

fn results(bench: &Bench) -> Vec<ResultId> {
    let results = bench
        .writer
        .results(&ResultFilter::default())
        .expect("read");
    results.iter().map(|result| result.id).collect()
}

fn changes(bench: &Bench) -> Vec<i64> {
    bench
        .writer
        .journal()
        .expect("read")
        .iter()
        .map(|change| change.seq)
        .collect()
}

/// Does it, if there is something to do it to; a refused undo, redo or merge is part of life.
fn perform(bench: &mut Bench, act: &Act, number: usize) -> Option<()> {
    let file = |kind: &str, rows| sheet(&format!("{kind}-{number}.csv"), rows);
    let on_date = format!("2026-01-{:02}", number + 1);
    match act {
        Act::ImportPeople(count) => {
            let new: Vec<_> = (2..2 + count)
                .map(|r| new_person(&format!("P{number}-{r}"), r))
                .collect();
            bench
                .writer
                .import_people(&file("people", new.len()), &new)
                .expect("taken");
        }
        Act::Relist(person) => {
            let mut new = new_person(&format!("R{number}"), 2);
            new.existing = Some(pick(person, &people(bench))?);
            bench
                .writer
                .import_people(&file("relist", 1), &[new])
                .expect("taken");
        }
        Act::ImportResults(who) => {
            let people = people(bench);
            let new: Option<Vec<_>> = (who.iter().zip(2..))
                .map(|(who, row)| Some(new_result(pick(who, &people)?, row)))
                .collect();
            let new = new?;
            let file = file("results", new.len());
            bench
                .writer
                .import_results(&file, &on(&on_date), &new)
                .expect("taken");
        }
        Act::AddDay => {
            bench.writer.add_day(&day(&on_date)).expect("taken");
        }
        Act::AddResult(person, day, amount) => {
            let (person, day) = (pick(person, &people(bench))?, pick(day, &days(bench))?);
            bench
                .writer
                .add_result(person, day, &bouts(*amount))
                .expect("taken");
        }
        Act::Correct(result, amount) => {
            let result = pick(result, &results(bench))?;
            bench
                .writer
                .correct_result(result, &bouts(*amount), "law")
                .expect("corrected");
        }
        Act::Withdraw(result) => {
            let result = pick(result, &results(bench))?;
            bench
                .writer
                .withdraw_result(result, "law")
                .expect("withdrawn");
        }
        Act::Reassign(result, person) => {
            let (result, person) = (
                pick(result, &results(bench))?,
                pick(person, &people(bench))?,
            );
            bench
                .writer
                .reassign_result(result, person, "law")
                .expect("moved");
        }
        Act::Rename(person) => {
            let person = pick(person, &people(bench))?;
            bench
                .writer
                .rename_person(person, &format!("N{number}"))
                .expect("renamed");
        }
        Act::Merge(keep, duplicate) => {
            let people = people(bench);
            let (keep, duplicate) = (pick(keep, &people)?, pick(duplicate, &people)?);
            bench.writer.merge_people(keep, duplicate).ok()?;
        }
        Act::Undo(change) => bench
            .writer
            .undo_change(pick(change, &changes(bench))?)
            .ok()?,
        Act::Redo(change) => bench
            .writer
            .redo_change(pick(change, &changes(bench))?)
            .ok()?,
    }
    Some(())
}

fn after(acts: &[Act]) -> Bench {
    let mut bench = Bench::new();
    perform(&mut bench, &Act::ImportPeople(3), 20);
    for (number, act) in acts.iter().enumerate() {
        perform(&mut bench, act, number);
    }
    bench
}

/// What every question answers.
fn seen(bench: &Bench) -> String {
    format!(
        "{:?} {:?} {:?} {:?}",
        bench.writer.people().expect("read"),
        bench.writer.days().expect("read"),
        bench
            .writer
            .results(&ResultFilter::default())
            .expect("read"),
        bench.writer.held_rows().expect("read"),
    )
}

/// Acts before the law is tried.
const ACTS: std::ops::Range<usize> = 0..16;

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 32,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn the_archive_is_sound_after_whatever_was_done(acts in prop::collection::vec(act(), ACTS)) {
        let bench = after(&acts);
        assert_sound(&bench.writer);
    }

    #[test]
    fn an_unmerge_restores_what_a_merge_found(
        acts in prop::collection::vec(act(), ACTS), keep: Index, duplicate: Index,
    ) {
        let mut bench = after(&acts);
        let people = people(&bench);
        prop_assume!(people.len() >= 2);
        let (keep, duplicate) = (*keep.get(&people), *duplicate.get(&people));
        prop_assume!(keep != duplicate);
        let (before, saw) = (content(&bench.writer), seen(&bench));
        let merge = bench.writer.merge_people(keep, duplicate).expect("merged").merge;
        let merged = bench.writer.people().expect("read");
        prop_assert_eq!(merged.len(), people.len() - 1);
        assert_sound(&bench.writer);
        bench.writer.unmerge(merge).expect("unmerged");
        prop_assert_eq!(seen(&bench), saw);
        let mut now = content(&bench.writer);
        now.insert("merge.csv".to_owned(), before["merge.csv"].clone());
        prop_assert!(now == before);
    }

    #[test]
    fn a_redo_restores_what_an_undo_found(
        acts in prop::collection::vec(act(), ACTS), change: Index,
    ) {
        let mut bench = after(&acts);
        let (before, saw) = (content(&bench.writer), seen(&bench));
        let changes = changes(&bench);
        let count = changes.len();
        // The first one from the chosen one on, in a circle, that nothing builds on.
        let start = change.index(count);
        let undone = (0..count)
            .map(|step| changes[(start + step) % count])
            .find(|seq| bench.writer.undo_change(*seq).is_ok());
        prop_assume!(undone.is_some());
        assert_sound(&bench.writer);
        bench.writer.redo_change(undone.expect("just assumed")).expect("redone");
        prop_assert_eq!(seen(&bench), saw);
        prop_assert!(content(&bench.writer) == before);
        assert_sound(&bench.writer);
    }
}
