//! The list of built-in definitions, the folder, and what a user's own files may do.

use std::collections::BTreeSet;
use std::path::Path;

use plimsoll_ladder::{BUILT_IN, Catalogue, Confidence, LocateError, Query, built_in_sources};

fn protocols() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../protocols")
}

#[test]
fn the_list_and_the_folder_agree() {
    let listed: BTreeSet<String> = BUILT_IN.iter().map(|(f, _)| (*f).to_owned()).collect();
    let on_disk: BTreeSet<String> = std::fs::read_dir(protocols())
        .expect("folder")
        .map(|e| e.expect("entry").file_name().into_string().expect("name"))
        .filter(|n| n.ends_with(".toml") && n != "sources.toml")
        .collect();
    assert_eq!(listed, on_disk);
    assert_eq!(listed.len(), 36);
    for (file, text) in BUILT_IN {
        assert!(
            text.contains(&format!("id = \"{}\"", file.trim_end_matches(".toml"))),
            "{file}"
        );
    }
}

#[test]
fn paced_tests_have_ladders_and_unpaced_ones_have_marks() {
    let catalogue = Catalogue::built_in();
    for test in catalogue.iter() {
        assert_eq!(
            test.ladder().is_some(),
            test.shape().is_paced(),
            "{}",
            test.id()
        );
        assert!(
            test.ladder().is_some() || !test.marks().is_empty(),
            "{}",
            test.id()
        );
        if let Some(easier) = &test.definition().easier {
            let easier = catalogue
                .get(easier)
                .expect("the easier form is in the catalogue");
            assert!(!easier.definition().maximal);
        }
    }
    assert_eq!(
        catalogue.iter().filter(|t| t.ladder().is_some()).count(),
        19
    );
}

#[test]
fn every_source_named_is_listed_and_status_is_the_weakest_tag() {
    let keys: BTreeSet<String> = built_in_sources().iter().map(|s| s.key.clone()).collect();
    assert!(keys.contains("S02"));
    let catalogue = Catalogue::built_in();
    assert_eq!(
        catalogue.get("ir2").expect("ir2").status(),
        Confidence::FromMemory
    );
    assert_eq!(
        catalogue.get("msr20").expect("msr20").status(),
        Confidence::AbstractRead
    );
    assert_eq!(
        catalogue.get("msr40").expect("msr40").status(),
        Confidence::CommonPractice
    );
}

#[test]
fn the_children_form_keeps_the_timeline_and_shortens_the_course() {
    let catalogue = Catalogue::built_in();
    let times = |id: &str| -> Vec<_> {
        catalogue
            .get(id)
            .expect("known")
            .cues()
            .into_iter()
            .map(|c| (c.at, c.kind))
            .collect()
    };
    assert_eq!(times("ir1"), times("ir1c"));
    let end = catalogue
        .get("ir1c")
        .expect("ir1c")
        .max_distance()
        .expect("ladder");
    assert_eq!(end.as_mm(), 2_912_000);
}

#[test]
fn the_submaximal_form_ends_at_14_7() {
    let catalogue = Catalogue::built_in();
    let sub = catalogue.get("ir1_sub6").expect("known");
    let last = sub.ladder().expect("paced").last().expect("bouts").clone();
    assert_eq!(
        (last.label.as_str(), last.number, last.distance.as_mm()),
        ("14.7", 18, 720_000)
    );
    assert!((last.finish.as_secs_f64() - 361.21).abs() < 0.01);
    assert!(!sub.definition().maximal);
}

#[test]
fn a_label_of_the_other_ladder_is_named() {
    let catalogue = Catalogue::built_in();
    let ir2 = catalogue.get("ir2").expect("ir2");
    let error: LocateError = catalogue
        .locate(ir2, &Query::Label("14.3".into()))
        .expect_err("not on level 2");
    let text = error.to_string();
    assert!(
        text.starts_with(
            "label `14.3` is not on `ir2`: it has no stage 14; labels run from `11.1` to `29.8`; \
             it exists on `ir1` (bout 14, 560 m), "
        ),
        "{text}"
    );
    let error = catalogue
        .locate(ir2, &Query::Label("20.9".into()))
        .expect_err("eight bouts");
    assert_eq!(error.why, "stage 20 runs from `20.1` to `20.8`");
    let ir1 = catalogue.get("ir1").expect("ir1");
    let error = catalogue
        .locate(ir1, &Query::Distance(plimsoll_ladder::Length::from_m(570)))
        .expect_err("between bouts");
    assert_eq!(error.why, "a bout ends at 560 m and the next at 600 m");
}

#[test]
fn a_users_definition_stands_beside_and_never_shadows() {
    let own = "format = 1\nid = \"club_ir1_short\"\nname = \"Our short form\"\nmaximal = false\n\
               base = \"ir1\"\n\
               stop_after = { value = \"13.2\", confidence = \"common practice, no source\" }\n";
    let files = [("club.toml".to_owned(), own.to_owned())];
    let catalogue = Catalogue::with_user_files(&files).expect("loads");
    let short = catalogue.get("club_ir1_short").expect("there");
    assert_eq!(short.max_distance().expect("ladder").as_mm(), 360_000);
    assert!(!short.is_built_in());

    let shadow = own.replace("club_ir1_short", "ir1");
    let error = Catalogue::with_user_files(&[("club.toml".to_owned(), shadow)]).expect_err("taken");
    assert_eq!(
        error.to_string(),
        "club.toml: the id `ir1` is already taken by a built-in definition; a definition of your \
         own may stand beside a built-in one but not replace it: give it another id, such as \
         `ir1_own`"
    );
    let lost = own.replace("base = \"ir1\"", "base = \"ir9\"");
    let error = Catalogue::with_user_files(&[("club.toml".to_owned(), lost)]).expect_err("no base");
    assert!(
        error
            .to_string()
            .starts_with("club.toml: `base = \"ir9\"` names no known definition")
    );
}

#[test]
fn the_fingerprint_follows_the_cues_and_not_the_name() {
    let catalogue = Catalogue::built_in();
    let print = |id: &str| catalogue.get(id).expect("known").fingerprint();
    assert_eq!(print("ir1").len(), 16);
    assert_ne!(print("ir1"), print("ir2"));
    assert_eq!(print("ir1"), print("ir1c"), "same cues, same announcements");
    let all: BTreeSet<String> = catalogue
        .iter()
        .filter(|t| t.ladder().is_some())
        .map(|t| t.fingerprint())
        .collect();
    // ir1 and ir1c share one, and so do the two names of the whole-shuttle form.
    assert_eq!(all.len(), 17);
}
