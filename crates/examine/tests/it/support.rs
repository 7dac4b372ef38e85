//! What the tests share: the catalogue, contexts from JSON, and sheets made from ladders.

use std::path::PathBuf;
use std::sync::OnceLock;

use plimsoll_examine::{Context, Examination, KnownPerson, KnownResult, Options, examine_bytes};
use plimsoll_judge::Amount;
use plimsoll_ladder::{Bout, Catalogue};
use rand::Rng;
use rand_chacha::ChaCha8Rng;
use serde_json::Value;

/// Returns the built-in catalogue, made once.
pub fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(Catalogue::built_in)
}

/// Returns the folder of the fixtures.
pub fn fixtures() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures")
}

/// Keeps options for the rest of the process, so that an examination can be handed around.
pub fn keep(options: Options<'static>) -> &'static Options<'static> {
    Box::leak(Box::new(options))
}

/// Examines text with options that decide nothing.
pub fn examine(text: &str) -> Examination<'static> {
    static OPTIONS: OnceLock<Options<'static>> = OnceLock::new();
    let options = OPTIONS.get_or_init(|| Options::new(catalogue()));
    examine_bytes("sheet.csv", text.as_bytes(), options).expect("a sheet")
}

/// Examines text of a declared test.
pub fn examine_as(test: &str, text: &str) -> Examination<'static> {
    let options = keep(Options::new(catalogue()).with_test(test));
    examine_bytes("sheet.csv", text.as_bytes(), options).expect("a sheet")
}

/// Returns the codes of the findings, in order.
pub fn codes(examination: &Examination<'_>) -> Vec<&'static str> {
    examination
        .report
        .findings
        .iter()
        .map(|f| f.code.as_str())
        .collect()
}

/// Returns the bouts of a ladder.
pub fn bouts(test: &str) -> &'static [Bout] {
    catalogue()
        .get(test)
        .expect("a known test")
        .ladder()
        .expect("a paced test")
        .bouts()
}

/// Returns the ids of all tests with a ladder.
pub fn paced() -> Vec<&'static str> {
    catalogue()
        .iter()
        .filter(|t| t.ladder().is_some())
        .map(plimsoll_ladder::Test::id)
        .collect()
}

/// Writes metres as a sheet has them: whole, or with one decimal.
pub fn metres(bout: &Bout) -> String {
    let m = bout.distance.as_m_f64();
    if m.fract() == 0.0 {
        format!("{m:.0}")
    } else {
        format!("{m:.1}")
    }
}

/// Writes a finish as minutes and seconds.
pub fn clock(bout: &Bout) -> String {
    let s = bout.finish.as_secs_f64().round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

/// Returns an invented name, different for each number up to 900.
pub fn name(i: usize) -> String {
    const GIVEN: [&str; 30] = [
        "Ada", "Bo", "Cleo", "Dag", "Eli", "Fay", "Gus", "Hal", "Ida", "Jax", "Kit", "Lou", "Mia",
        "Ned", "Ola", "Pip", "Quin", "Rae", "Sol", "Tess", "Uma", "Vik", "Wyn", "Yan", "Zed",
        "Abe", "Bea", "Cal", "Dot", "Eve",
    ];
    const FAMILY: [&str; 30] = [
        "Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fir", "Gorse", "Hazel", "Ivywood", "Juniper",
        "Kauri", "Larch", "Maple", "Nutmeg", "Oakley", "Pine", "Quince", "Rowan", "Spruce",
        "Thorn", "Umbra", "Vine", "Willow", "Yew", "Zelkova", "Aspen", "Beech", "Cherry", "Damson",
        "Elder",
    ];
    format!("{} {}", GIVEN[i % 30], FAMILY[(i * 7 + i / 30) % 30])
}

/// Makes one typing error in a piece of text: a wrong digit, a digit twice or two exchanged.
pub fn mistype(text: &str, rng: &mut ChaCha8Rng) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    let digits: Vec<usize> = (0..chars.len())
        .filter(|i| chars[*i].is_ascii_digit())
        .collect();
    let at = digits[rng.random_range(0..digits.len())];
    match rng.random_range(0..4) {
        0 if digits.len() > 1 => {
            let other = digits[rng.random_range(0..digits.len())];
            chars.swap(at, other);
        }
        1 => chars.insert(at, chars[at]),
        _ => chars[at] = char::from(b'0' + rng.random_range(0..10_u8)),
    }
    chars.into_iter().collect()
}

/// Reads a context file: declared test, today, roster, history.
pub fn context(json: &Value) -> (Option<String>, Context) {
    let text = |v: &Value, key: &str| v[key].as_str().map(str::to_owned);
    let list = |v: &Value| -> Vec<String> {
        v.as_array()
            .map(|a| {
                a.iter()
                    .filter_map(|x| x.as_str().map(str::to_owned))
                    .collect()
            })
            .unwrap_or_default()
    };
    let empty = Vec::new();
    let roster = json["roster"].as_array().unwrap_or(&empty);
    let history = json["history"].as_array().unwrap_or(&empty);
    let context = Context {
        today: text(json, "today").map(|t| t.parse().expect("a date")),
        roster: roster
            .iter()
            .map(|p| KnownPerson {
                id: text(p, "id").expect("an id"),
                names: list(&p["names"]),
                birth_date: text(p, "birth_date").map(|t| t.parse().expect("a date")),
                squads: list(&p["squads"]),
                ..KnownPerson::default()
            })
            .collect(),
        history: history
            .iter()
            .map(|r| KnownResult {
                person: text(r, "person").expect("a person"),
                test: text(r, "test").expect("a test"),
                date: text(r, "date").expect("a date").parse().expect("a date"),
                amount: Amount::Bouts(r["bouts"].as_u64().expect("bouts") as u32),
            })
            .collect(),
        ..Context::default()
    };
    (text(json, "test"), context)
}
