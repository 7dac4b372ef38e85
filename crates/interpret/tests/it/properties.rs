//! Properties of the answers, and no panic on any input.

use std::sync::LazyLock;

use plimsoll_interpret::change::{
    ChangeContext, Observation, QuickRequest, assess_change, quick_change,
};
use plimsoll_interpret::equations::estimates;
use plimsoll_interpret::reference::{ReferenceAnswer, ReferenceQuery, find_references};
use plimsoll_interpret::{Catalogue, Performance, Person, Sex, Size, Unit};
use proptest::prelude::*;

static ALL: LazyLock<Catalogue> = LazyLock::new(crate::catalogue);

fn sex() -> impl Strategy<Value = Option<Sex>> {
    prop_oneof![Just(None), Just(Some(Sex::Male)), Just(Some(Sex::Female))]
}

fn maybe() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        Just(None),
        prop::num::f64::ANY.prop_map(Some),
        (0.0..4000.0).prop_map(Some)
    ]
}

fn test_id() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "ir1",
        "ir2",
        "ir1c",
        "msr20",
        "int30_15_40",
        "run12",
        "run5",
        "shuttle1200",
        "run_distance",
        "track_2min",
        "cs_trials",
        "rsa_6x40s",
        "",
    ])
}

proptest! {
    #[test]
    fn chances_sum_to_one_and_swap_with_time(
        from in 400.0..3000.0, to in 400.0..3000.0, cv in 1.0..20.0, swc in 0.0..10.0
    ) {
        let person = Person::default();
        let context = ChangeContext {
            error: Some(Size::Percent(cv)),
            worthwhile: Some(Size::Percent(swc)),
            ..ChangeContext::new("ir1", &person)
        };
        let ask = |from, to| quick_change(&ALL, &QuickRequest { context, from, to }).expect("ok");
        let (there, back) = (ask(from, to), ask(to, from));
        let (up, trivial, down) =
            (there.p_up.expect("up"), there.p_trivial.expect("t"), there.p_down.expect("down"));
        prop_assert!((up + trivial + down - 1.0).abs() < 1e-12);
        prop_assert!((up - back.p_down.expect("down")).abs() < 1e-9);
    }

    #[test]
    fn a_higher_result_is_never_less_likely_better(
        to in 400.0..3000.0, more in 0.0..500.0
    ) {
        let person = Person::default();
        let context = ChangeContext::new("ir1", &person);
        let ask = |to| quick_change(&ALL, &QuickRequest { context, from: 1500.0, to }).expect("ok");
        prop_assert!(ask(to + more).p_up.expect("up") >= ask(to).p_up.expect("up") - 1e-12);
    }

    #[test]
    fn nothing_panics_and_nothing_is_nan(
        test in test_id(), a in prop::num::f64::ANY, b in prop::num::f64::ANY,
        error in maybe(), swc in maybe(), sd in maybe(), age in maybe(), sex in sex(),
        day in any::<i64>(), other in any::<i64>(), min in any::<Option<u32>>(),
        open in any::<(bool, bool)>()
    ) {
        let person = Person { sex, age_years: age, mass_kg: error, bmi: swc };
        let context = ChangeContext {
            error: error.map(Size::Percent),
            worthwhile: swc.map(Size::InUnit),
            squad_sd: sd,
            from_memory: true,
            ..ChangeContext::new(test, &person)
        };
        if let Ok(got) = quick_change(&ALL, &QuickRequest { context, from: a, to: b }) {
            for p in [got.p_up, got.p_trivial, got.p_down].into_iter().flatten() {
                prop_assert!((0.0..=1.0).contains(&p));
            }
            prop_assert!(got.detectable.is_none_or(f64::is_finite));
        }
        let one = |day, value, lower_bound| Observation {
            lower_bound, time_of_day_min: min, sleep_h: age, wbgt_c: sd, trial_number: min,
            ..Observation::new(day, value, Unit::Metres)
        };
        let (old, now) = (one(day, a, open.0), one(other, b, open.1));
        if let Ok(report) = assess_change(&ALL, &[old], &now, &context) {
            let json = serde_json::to_string(&report).expect("JSON");
            prop_assert!(!json.contains("NaN"));
        }
        let run = Performance {
            test: test.to_owned(), distance_m: Some(a), final_speed_kmh: Some(b), shuttles: min,
            stage: error, level_decimal: swc, time_s: sd,
        };
        for estimate in estimates(&ALL, &run, &person, true) {
            prop_assert!(estimate.value().is_none_or(f64::is_finite));
        }
        let query = ReferenceQuery {
            test: test.to_owned(), metric: "distance_m".to_owned(), sex, age_years: age,
            value: Some(a), from_memory: true, ..ReferenceQuery::default()
        };
        if let Ok(ReferenceAnswer::Found { matches }) = find_references(&ALL, &query) {
            prop_assert!(!matches.is_empty());
        }
    }

    #[test]
    fn any_text_as_a_file_is_read_or_refused(head in ".{0,200}", table in ".{0,200}") {
        let mut all = Catalogue::default();
        if all.add([("x.toml", head.as_str()), ("x.csv", table.as_str())]).is_err() {
            prop_assert_eq!(all, Catalogue::default());
        }
    }

    #[test]
    fn any_cells_in_a_table_are_read_or_refused(
        cells in prop::collection::vec("[a-z0-9.,\"+ -]{0,6}", 16)
    ) {
        let head = "format = 1\nkind = \"reliability\"\nid = \"x\"\ntitle = \"x\"\nsource = \"x\"\n\
                    licence = \"x\"\nread = \"x\"\n";
        let table = format!(
            "test,quantity,population,sex,age_min,age_max,level,n,metric,value,unit,use,low,high,\
             source,confidence\n{}\n",
            cells.join(",")
        );
        let mut all = Catalogue::default();
        if all.add([("x.toml", head), ("x.csv", table.as_str())]).is_err() {
            prop_assert_eq!(all, Catalogue::default());
        }
    }
}
