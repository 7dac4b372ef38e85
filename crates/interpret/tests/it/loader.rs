//! A user's own files: taken beside the built-in ones, or refused with place and remedy.

use plimsoll_interpret::Catalogue;
use plimsoll_interpret::Sex;
use plimsoll_interpret::data::Origin;
use plimsoll_interpret::reference::{
    ReferenceAnswer, ReferenceQuery, ReferenceStanding, find_references,
};

use crate::catalogue;

const HEADER: &str = "format = 1\nkind = \"population\"\nid = \"own_girls\"\ntitle = \"Own girls\"\n\
    source = \"own results 2024\"\nyear = 2024\nlicence = \"own\"\nread = \"own\"\n";
const COLUMNS: &str =
    "test,metric,unit,sex,age_min,age_max,n,kind,centile,value,l,m,s,source,confidence\n";

fn add(files: &[(&str, &str)]) -> Result<Catalogue, String> {
    let mut all = catalogue();
    let before = all.clone();
    match all.add(files.iter().copied()) {
        Ok(()) => Ok(all),
        Err(error) => {
            assert_eq!(all, before, "a fault adds nothing");
            Err(error.to_string())
        }
    }
}

fn place(all: &Catalogue, age: f64, value: f64) -> Option<ReferenceStanding> {
    let query = ReferenceQuery {
        test: "ir1".to_owned(),
        metric: "distance_m".to_owned(),
        sex: Some(Sex::Female),
        age_years: Some(age),
        value: Some(value),
        ..ReferenceQuery::default()
    };
    match find_references(all, &query).expect("an answer") {
        ReferenceAnswer::Found { matches } => matches
            .into_iter()
            .find(|m| m.id == "own_girls")
            .map(|m| m.standing),
        ReferenceAnswer::NoAdequateReference { .. } => None,
    }
}

#[test]
fn a_table_of_centiles_is_taken() {
    let table = format!(
        "{COLUMNS}ir1,distance_m,m,F,13,14,212,centile,5,400,,,,own,source read\n\
         ir1,distance_m,m,F,13,14,212,centile,95,1200,,,,own,source read\n"
    );
    let all = add(&[("own.toml", HEADER), ("own.csv", &table), (".cache", "x")]).expect("taken");
    let own = all.populations.last().expect("a population");
    assert_eq!(own.provenance.origin, Origin::User);
    let Some(ReferenceStanding::Placed { centile, .. }) = place(&all, 13.4, 800.0) else {
        panic!("placed")
    };
    assert!((centile - 50.0).abs() < 1e-9);
    assert_eq!(place(&all, 14.0, 800.0), None, "14.0 is no longer 13");
}

#[test]
fn an_lms_curve_is_interpolated_and_not_extended() {
    let table = format!(
        "{COLUMNS}ir1,distance_m,m,F,12,12,300,lms,,,1,800,0.2,own,source read\n\
         ir1,distance_m,m,F,14,14,300,lms,,,1,1000,0.2,own,source read\n"
    );
    let all = add(&[("own.toml", HEADER), ("own.csv", &table)]).expect("taken");
    let Some(ReferenceStanding::Placed { z, .. }) = place(&all, 13.0, 1080.0) else {
        panic!("placed")
    };
    // M is 900 at 13, S 0.2, L 1: (1080 / 900 - 1) / 0.2 = 1.
    assert!((z - 1.0).abs() < 1e-9, "{z}");
    assert_eq!(place(&all, 11.9, 800.0), None);
    assert_eq!(place(&all, 14.1, 800.0), None);
    assert!(place(&all, 14.0, 800.0).is_some());
}

#[test]
fn whole_messages() {
    let row = "ir1,distance_m,m,F,13,14,212,centile,5,4OO,,,,own,source read\n";
    let table = format!("{COLUMNS}{row}");
    assert_eq!(
        add(&[("own.toml", HEADER), ("own.csv", &table)]).expect_err("a fault"),
        "own.csv, row 2, column `value`: found `4OO`, allowed is a number with a decimal point, \
         or nothing"
    );
    assert_eq!(
        add(&[("own.csv", &table)]).expect_err("a fault"),
        "own.csv: there is no own.toml beside it; a reference is two files of the same name"
    );
    assert_eq!(
        add(&[("own.toml", HEADER)]).expect_err("a fault"),
        "own.toml: there is no own.csv beside it; a reference is two files of the same name"
    );
    let taken = HEADER.replace("own_girls", "deprez2014a");
    assert_eq!(
        add(&[("own.toml", &taken), ("own.csv", COLUMNS)]).expect_err("a fault"),
        "own.toml: the id `deprez2014a` is already taken by another population file; choose \
         another id"
    );
    let newer = HEADER.replace("format = 1", "format = 2");
    assert_eq!(
        add(&[("own.toml", &newer), ("own.csv", COLUMNS)]).expect_err("a fault"),
        "own.toml, header field `format`: found `2`, allowed is 1"
    );
    let nameless = HEADER.replace("source = \"own results 2024\"\n", "");
    assert_eq!(
        add(&[("own.toml", &nameless), ("own.csv", COLUMNS)]).expect_err("a fault"),
        "own.toml, header field `source`: found ``, allowed is a text: every number has a source \
         and a licence"
    );
    let short = format!("{HEADER}rows = 3\n");
    let table = format!("{COLUMNS}ir1,distance_m,m,F,13,14,2,centile,5,4,,,,own,source read\n");
    assert_eq!(
        add(&[("own.toml", &short), ("own.csv", &table)]).expect_err("a fault"),
        "own.toml, header field `rows`: found `3`, allowed is 1, the number of rows in own.csv"
    );
    let untagged = table.replace("source read", "sure");
    assert!(
        add(&[("own.toml", HEADER), ("own.csv", &untagged)])
            .expect_err("a fault")
            .starts_with(
                "own.csv, row 2, column `confidence`: found `sure`, allowed is `source read`"
            )
    );
    let column = table.replace("confidence", "trust");
    assert!(
        add(&[("own.toml", HEADER), ("own.csv", &column)])
            .expect_err("a fault")
            .starts_with("own.csv: unknown column `trust`; the columns are test, metric")
    );
}

#[test]
fn a_wrong_conversion_of_a_standard_error_is_refused() {
    let table = "test,metric,unit,sex,age_min,age_max,n,kind,mean,sd,sem,source,confidence\n\
                 ir1,distance_m,m,F,18,,25,mean,1200,30,30,own,source read\n";
    assert_eq!(
        add(&[("own.toml", HEADER), ("own.csv", table)]).expect_err("a fault"),
        "own.csv, row 2, column `sd`: found `30`, allowed is SEM x root n = 150.0, or nothing"
    );
}

#[test]
fn own_equations_are_checked() {
    let equation = |term: &str| {
        format!(
            "format = 1\nkind = \"equations\"\nid = \"own\"\ntitle = \"Own\"\n[[equation]]\n\
             id = \"own_line\"\ntests = [\"ir1\"]\npredicts = \"vo2max\"\nunit = \"ml/kg/min\"\n\
             formula = \"f\"\nterms = [{term}]\ninputs = []\npopulation = \"own squad\"\n\
             source = \"own\"\nlicence = \"own\"\nconfidence = \"source read\"\ncautions = []\n"
        )
    };
    let fine = equation("{ coefficient = 0.01, of = [\"distance_m\"] }");
    let all = add(&[("own.toml", &fine)]).expect("taken");
    assert!(all.equations.iter().any(|e| e.id == "own_line"));
    let uncoded = equation("{ coefficient = 1.0, of = [\"sex_code\"] }");
    assert!(
        add(&[("own.toml", &uncoded)])
            .expect_err("a fault")
            .contains("header field `sex_code`")
    );
    let broken = equation("{ coefficient = nan, of = [\"distance_m\"] }");
    assert!(
        add(&[("own.toml", &broken)])
            .expect_err("a fault")
            .contains("a finite number")
    );
    let unknown = equation("{ coefficient = 1.0, of = [\"shoe_size\"] }");
    assert!(
        add(&[("own.toml", &unknown)])
            .expect_err("a fault")
            .contains("shoe_size")
    );
}

#[test]
fn large_and_binary_files_are_refused() {
    let huge = format!("{COLUMNS}{}", "x".repeat(5 * 1024 * 1024));
    let message = add(&[("own.toml", HEADER), ("own.csv", &huge)]).expect_err("a fault");
    assert!(
        message.contains("bytes, at most 4194304 are read"),
        "{message}"
    );
    let rows = format!(
        "{COLUMNS}{}",
        "ir1,d,m,F,1,2,,note,,,,,,s,from memory\n".repeat(50_001)
    );
    let message = add(&[("own.toml", HEADER), ("own.csv", &rows)]).expect_err("a fault");
    assert!(
        message.contains("50001 rows, at most 50000 are read"),
        "{message}"
    );
    assert!(add(&[("own.toml", "\u{0}\u{1}"), ("own.csv", COLUMNS)]).is_err());
    let ragged = format!("{COLUMNS}ir1,distance_m\n");
    assert!(add(&[("own.toml", HEADER), ("own.csv", &ragged)]).is_err());
}
