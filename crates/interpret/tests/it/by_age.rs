//! References by age: what a table must hold, and what is said where it does not.

use plimsoll_interpret::reference::{AgeReferences, ReferenceQuery, references_by_age};
use plimsoll_interpret::{Catalogue, Sex};
use plimsoll_measure::norms::Interpolation;

use crate::catalogue;

const HEADER: &str = "format = 1\nkind = \"population\"\nid = \"own\"\ntitle = \"Own boys\"\n\
    source = \"invented\"\nlicence = \"own\"\nread = \"own\"\n";
const COLUMNS: &str = "test,metric,unit,sex,age,age_min,age_max,n,kind,centile,mean,sd,value,l,m,s,source,confidence\n";

fn with(rows: &str) -> Catalogue {
    let mut all = catalogue();
    let table = format!("{COLUMNS}{rows}");
    all.add([("own.toml", HEADER), ("own.csv", table.as_str())])
        .expect("taken");
    all
}

fn ask(all: &Catalogue, test: &str) -> AgeReferences {
    let query = ReferenceQuery {
        test: test.to_owned(),
        metric: "distance_m".to_owned(),
        sex: Some(Sex::Male),
        age_years: Some(14.5),
        ..ReferenceQuery::default()
    };
    references_by_age(all, &query).expect("an answer")
}

fn centiles(age: u32, values: [f64; 5]) -> String {
    [5, 25, 50, 75, 95]
        .iter()
        .zip(values)
        .map(|(c, v)| {
            let end = age + 1;
            format!("ir2,distance_m,m,M,{age},{age},{end},200,centile,{c},,,{v},,,,invented,derived arithmetic\n")
        })
        .collect()
}

/// z of the 75th and 95th centile: normal tables.
const Z75: f64 = 0.674_489_750_196_081_7;
const Z95: f64 = 1.644_853_626_951_472_2;

fn normal(m: f64, sd: f64) -> [f64; 5] {
    [m - Z95 * sd, m - Z75 * sd, m, m + Z75 * sd, m + Z95 * sd]
}

#[test]
fn centiles_by_age_become_a_curve_at_the_middle_of_their_bands() {
    let rows = centiles(13, normal(1000.0, 200.0)) + &centiles(14, normal(1100.0, 220.0));
    let found = ask(&with(&rows), "ir2");
    let [own] = found.found.as_slice() else {
        panic!("{found:?}")
    };
    assert_eq!(own.curve.ages(), (13.5, 14.5));
    assert!(own.how.contains("derived from its centiles"), "{}", own.how);
    // A normal is L = 1, S = SD / M; at 14.0 half way between both medians.
    let lms = own.curve.at(14.0, Interpolation::Linear).expect("within");
    let (l, m, s) = lms.parts();
    assert!((l - 1.0).abs() < 1e-5 && (m - 1050.0).abs() < 1e-9 && (s - 0.2).abs() < 1e-6);
    own.curve
        .at(14.6, Interpolation::Linear)
        .expect_err("nothing is extended");
}

#[test]
fn what_cannot_be_used_says_why() {
    let one = ask(&with(&centiles(14, normal(1100.0, 220.0))), "ir2");
    assert!(one.found.is_empty());
    assert!(one.unfit[0].contains("one age only"), "{:?}", one.unfit);
    let humps = [80.0, 81.0, 100.0, 119.0, 120.0];
    let odd = ask(&with(&(centiles(13, humps) + &centiles(14, humps))), "ir2");
    assert!(
        odd.unfit[0].contains("from the shape of L, M and S"),
        "{:?}",
        odd.unfit
    );
    let mean = |age: u32, n: &str| {
        format!(
            "ir2,distance_m,m,M,{age},{age},{},{n},mean,,1000,200,,,,,invented,derived arithmetic\n",
            age + 1
        )
    };
    let few = ask(&with(&(mean(13, "12") + &mean(14, "40"))), "ir2");
    assert!(
        few.unfit[0].contains("means of 12 people, under 30"),
        "{:?}",
        few.unfit
    );
    let enough = ask(&with(&(mean(13, "31") + &mean(14, "40"))), "ir2");
    assert_eq!((enough.found.len(), enough.found[0].n), (1, Some(31)));
}

/// As shipped: Deprez 2014 prints means of youths without the number of people of each age (abstract read).
#[test]
fn no_shipped_table_has_growth_of_a_field_test_and_the_near_miss_is_named() {
    let shipped = ask(&catalogue(), "ir1");
    assert!(shipped.found.is_empty());
    assert!(
        shipped
            .unfit
            .iter()
            .any(|w| w.contains("Belgium") && w.contains("unknown number of people")),
        "{:?}",
        shipped.unfit
    );
    assert!(
        shipped.unfit.iter().all(|w| !w.contains("Sweden")),
        "adults are no near miss"
    );
}
