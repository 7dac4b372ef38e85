//! Laws of every ladder: exact, rising, and invertible from each of its readings.

use plimsoll_ladder::{Catalogue, CueKind, Instant, Length, Query};
use proptest::prelude::*;

#[test]
fn cues_never_go_back_and_belong_to_their_bout() {
    for test in Catalogue::built_in()
        .iter()
        .filter(|t| t.ladder().is_some())
    {
        let cues = test.cues();
        assert!(cues.windows(2).all(|w| w[0].at <= w[1].at), "{}", test.id());
        assert_eq!(
            cues.first().map(|c| c.at),
            Some(Instant::START),
            "{}",
            test.id()
        );
        let last = cues
            .iter()
            .rev()
            .find(|c| c.kind == CueKind::Finish)
            .expect("finish");
        assert_eq!(
            last.at.as_nanos(),
            test.duration().expect("paced").as_nanos()
        );
    }
}

/// Source: exact rational arithmetic by hand. A cue is never the sum of rounded parts: the
/// difference from the textbook sum in floating point stays below a nanosecond and a half plus
/// the error of that sum.
#[test]
fn finishes_agree_with_the_slow_textbook_sum() {
    for id in ["ir1", "ir2", "ir1c"] {
        let catalogue = Catalogue::built_in();
        let test = catalogue.get(id).expect("known");
        let leg = test
            .definition()
            .course
            .leg
            .as_ref()
            .expect("leg")
            .value
            .as_m_f64();
        let mut t = 0.0_f64;
        for bout in test.ladder().expect("paced").bouts() {
            let finish = t + 2.0 * leg * 3.6 / bout.speed.as_kmh_f64();
            assert!(
                (bout.finish.as_secs_f64() - finish).abs() < 1e-8,
                "{id} {}",
                bout.label
            );
            t = finish + 10.0;
        }
    }
}

/// One catalogue for all cases: its ladders are built once.
fn catalogue() -> &'static Catalogue {
    static CATALOGUE: std::sync::OnceLock<Catalogue> = std::sync::OnceLock::new();
    CATALOGUE.get_or_init(Catalogue::built_in)
}

fn ids() -> Vec<String> {
    catalogue()
        .iter()
        .filter(|t| t.ladder().is_some())
        .map(|t| t.id().to_owned())
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_reading_of_a_bout_leads_back_to_it(
        id in prop::sample::select(ids()),
        pick in any::<prop::sample::Index>(),
    ) {
        let catalogue = catalogue();
        let test = catalogue.get(&id).expect("known");
        let ladder = test.ladder().expect("paced");
        let bout = &ladder.bouts()[pick.index(ladder.bouts().len())];
        for query in [
            Query::Label(bout.label.clone()),
            Query::Bouts(bout.number),
            Query::Distance(bout.distance),
            Query::Time(bout.finish),
        ] {
            let place = test.place(&query).expect("on the ladder");
            prop_assert_eq!(place.bout, bout.number, "{}", query);
            prop_assert_eq!(place.label.as_deref(), Some(bout.label.as_str()));
        }
        let before = Query::Time(Instant::from_nanos(bout.finish.as_nanos() - 1));
        prop_assert_eq!(test.place(&before).expect("total").bout, bout.number - 1);
        let last = test.place(&Query::Speed(bout.speed)).expect("on the ladder");
        prop_assert!(last.bout >= bout.number);
    }

    #[test]
    fn any_question_gets_an_answer_and_never_a_panic(
        id in prop::sample::select(ids()),
        text in "\\PC{0,12}",
        n in any::<u32>(),
        mm in any::<u64>(),
        ns in any::<i64>(),
    ) {
        let catalogue = catalogue();
        let test = catalogue.get(&id).expect("known");
        for query in [
            Query::Label(text),
            Query::Bouts(n),
            Query::Distance(Length::from_mm(mm)),
            Query::Time(Instant::from_nanos(ns)),
        ] {
            match catalogue.locate(test, &query) {
                Ok(place) => prop_assert_eq!(place.id, id.clone()),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
    }

    #[test]
    fn a_definition_of_any_bytes_is_refused_with_a_place(text in "\\PC{0,200}") {
        let files = [("x.toml".to_owned(), text)];
        if let Err(error) = Catalogue::with_user_files(&files) {
            prop_assert!(error.to_string().starts_with("x.toml:"), "{}", error);
        }
    }
}
