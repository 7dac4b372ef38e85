//! People: names, versions, squads, merges.

use plimsoll_archive::{Membership, PersonFacts, Sex};

use crate::support::{Bench, assert_sound, called, content, date, squad};

fn in_squad(squad: &str, from: Option<&str>, to: Option<&str>) -> Membership {
    Membership {
        squad: squad.to_owned(),
        from: from.map(date),
        to: to.map(date),
    }
}

#[test]
fn a_person_comes_back_as_recorded() {
    let mut bench = Bench::new();
    let facts = PersonFacts {
        called_name: "Zoë".to_owned(),
        legal_name: Some("Zoë Orlane, \"Zo\"\nsecond line".to_owned()),
        birth_date: Some(date("2010-02-28")),
        sex: Some(Sex::Female),
        external_id: Some("007".to_owned()),
        notes: Some("left-footed".to_owned()),
    };
    let u16 = in_squad("U16", Some("2025-08-01"), None);
    let id = bench
        .writer
        .add_person(&facts, std::slice::from_ref(&u16))
        .expect("taken");
    let person = bench.writer.person(id).expect("read").expect("there");
    assert_eq!(person.facts, facts);
    assert_eq!(person.memberships[0].membership, u16);
    assert_eq!(bench.writer.people().expect("read"), [person]);
    assert_sound(&bench.writer);
}

#[test]
fn a_rename_keeps_the_old_name_as_an_alias_and_the_id() {
    let mut bench = Bench::new();
    let id = bench
        .writer
        .add_person(&called("Jo Marren"), &[])
        .expect("taken");
    bench
        .writer
        .rename_person(id, "Jo Marren-Lisk")
        .expect("renamed");
    bench.writer.add_alias(id, "JML").expect("known as");
    bench.writer.add_alias(id, "JML").expect("no second time");
    let person = bench.writer.person(id).expect("read").expect("there");
    assert_eq!(person.facts.called_name, "Jo Marren-Lisk");
    assert_eq!(person.aliases, ["Jo Marren", "JML"]);
    assert_eq!(
        bench.writer.person_named("jo  marren").expect("found").id,
        id
    );
    assert_sound(&bench.writer);
}

#[test]
fn a_text_finds_a_person_by_id_list_id_name_or_plain_name() {
    let mut bench = Bench::new();
    let facts = PersonFacts {
        external_id: Some("A-17".to_owned()),
        legal_name: Some("René Tolva".to_owned()),
        ..called("Ren")
    };
    let ren = bench.writer.add_person(&facts, &[]).expect("taken");
    let rene = bench
        .writer
        .add_person(&called("Rene Tolva"), &[])
        .expect("taken");
    for (text, wanted) in [
        (ren.to_string().as_str(), ren),
        ("A-17", ren),
        (" REN ", ren),
        ("rené tolva", ren),
        ("rene tolva", rene),
    ] {
        assert_eq!(
            bench.writer.person_named(text).expect(text).id,
            wanted,
            "{text}"
        );
    }
    let error = bench
        .writer
        .person_named("Rène Tolva")
        .expect_err("two, accents aside");
    assert_eq!(
        error.to_string(),
        format!(
            "`Rène Tolva` fits 2 people: Ren, id {ren}; Rene Tolva, id {rene}; say which one by id"
        )
    );
    let error = bench.writer.person_named("Nobody").expect_err("no one");
    assert_eq!(
        error.to_string(),
        "there is no person `Nobody` in the archive; list the people to see their names and ids, \
         or import them first"
    );
}

#[test]
fn a_squad_membership_ends_by_a_new_version() {
    let mut bench = Bench::new();
    let id = bench.writer.add_person(&called("Ilo"), &[]).expect("taken");
    let open = in_squad("U16", Some("2025-08-01"), None);
    let first = bench.writer.add_membership(id, &open).expect("joined");
    let ended = in_squad("U16", Some("2025-08-01"), Some("2026-05-31"));
    bench
        .writer
        .change_membership(first, &ended)
        .expect("ended");
    let person = bench.writer.person(id).expect("read").expect("there");
    let squads: Vec<&Membership> = person.memberships.iter().map(|m| &m.membership).collect();
    assert_eq!(squads, [&ended]);
    let error = bench
        .writer
        .change_membership(first, &open)
        .expect_err("not in force");
    assert_eq!(
        error.to_string(),
        format!(
            "membership `{first}` is not in force: it was changed or undone since, or never \
             recorded; look it up again and change the one in force"
        )
    );
    let backwards = in_squad("U17", Some("2026-06-01"), Some("2026-05-31"));
    let error = bench
        .writer
        .add_membership(id, &backwards)
        .expect_err("backwards");
    assert_eq!(
        error.to_string(),
        "table `membership`, column `to_date`: found `2026-05-31`, allowed is `2026-06-01` (the \
         first day) or later, or nothing; correct it and try again"
    );
}

#[test]
fn a_merge_unites_and_an_unmerge_restores() {
    let mut bench = Bench::new();
    let jo = PersonFacts {
        sex: Some(Sex::Female),
        ..called("Jo")
    };
    let joanna = PersonFacts {
        birth_date: Some(date("2010-01-02")),
        sex: Some(Sex::Male),
        ..called("Joanna")
    };
    let jo = bench
        .writer
        .add_person(&jo, &[in_squad("U16", None, None)])
        .expect("taken");
    let joanna = bench
        .writer
        .add_person(&joanna, &[in_squad("U15", None, None)])
        .expect("taken");
    let (before, people) = (content(&bench.writer), bench.writer.people().expect("read"));
    let report = bench.writer.merge_people(jo, joanna).expect("merged");
    assert_eq!(
        report.disagreements,
        ["sex category: female is shown, the other entry has male"]
    );
    let merged = bench.writer.person(joanna).expect("read").expect("there");
    assert_eq!(merged.id, jo);
    assert_eq!(merged.facts.birth_date, Some(date("2010-01-02")));
    assert_eq!(merged.facts.sex, Some(Sex::Female));
    assert_eq!(merged.aliases, ["Joanna"]);
    assert_eq!(merged.memberships.len(), 2);
    assert_eq!(merged.merged, [joanna]);
    assert_eq!(bench.writer.people().expect("read"), [merged]);
    let error = bench
        .writer
        .merge_people(joanna, jo)
        .expect_err("one already");
    assert_eq!(
        error.to_string(),
        format!("Jo ({jo}) is already one person with the other; there is nothing to merge")
    );
    assert_sound(&bench.writer);
    bench.writer.unmerge(report.merge).expect("unmerged");
    assert_eq!(bench.writer.people().expect("read"), people);
    let mut after = content(&bench.writer);
    let merges = after.remove("merge.csv").expect("exported");
    assert_eq!(
        String::from_utf8_lossy(&merges).lines().count(),
        2,
        "the merge is remembered"
    );
    assert!(
        before
            .iter()
            .filter(|(name, _)| *name != "merge.csv")
            .eq(&after)
    );
    assert_sound(&bench.writer);
}

#[test]
fn what_a_merged_entry_lent_does_not_stay_after_an_unmerge() {
    let mut bench = Bench::new();
    let kept = bench.writer.add_person(&called("Tam"), &[]).expect("taken");
    let other = PersonFacts {
        birth_date: Some(date("2009-09-09")),
        ..called("Tamsin")
    };
    let other = bench.writer.add_person(&other, &[]).expect("taken");
    let merge = bench
        .writer
        .merge_people(kept, other)
        .expect("merged")
        .merge;
    let mut shown = bench
        .writer
        .person(kept)
        .expect("read")
        .expect("there")
        .facts;
    shown.notes = Some("captain".to_owned());
    bench.writer.set_person(kept, &shown).expect("set");
    bench.writer.unmerge(merge).expect("unmerged");
    let alone = bench
        .writer
        .person(kept)
        .expect("read")
        .expect("there")
        .facts;
    assert_eq!(alone.birth_date, None);
    assert_eq!(alone.notes.as_deref(), Some("captain"));
}

#[test]
fn merges_of_merges_lead_to_one_person_and_come_apart_in_any_order() {
    let mut bench = Bench::new();
    let ids = squad(&mut bench.writer, "list.csv", &["A", "B", "C"]);
    let b_to_a = bench
        .writer
        .merge_people(ids[0], ids[1])
        .expect("merged")
        .merge;
    let a_to_c = bench
        .writer
        .merge_people(ids[2], ids[1])
        .expect("merged")
        .merge;
    let all = bench.writer.person(ids[1]).expect("read").expect("there");
    assert_eq!((all.id, all.merged), (ids[2], vec![ids[1], ids[0]]));
    bench.writer.unmerge(b_to_a).expect("unmerged");
    let alone = bench.writer.person(ids[1]).expect("read").expect("there");
    assert_eq!((alone.id, alone.merged), (ids[1], vec![]));
    let pair = bench.writer.person(ids[0]).expect("read").expect("there");
    assert_eq!((pair.id, pair.merged), (ids[2], vec![ids[0]]));
    bench.writer.unmerge(a_to_c).expect("unmerged");
    assert_eq!(bench.writer.people().expect("read").len(), 3);
    let error = bench.writer.unmerge(a_to_c).expect_err("undone already");
    assert!(
        error
            .to_string()
            .ends_with("is undone already; nothing was done"),
        "{error}"
    );
    assert_sound(&bench.writer);
}
