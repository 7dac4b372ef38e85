//! `plimsoll tests`: every known test.

use plimsoll_ladder::{Catalogue, Test};
use serde_json::{Value, json};

use crate::failure::{Failure, Found};
use crate::print::{self, Align, clock, number, short};

/// Prints every known test.
pub fn run(catalogue: &Catalogue, as_json: bool) -> Result<Found, Failure> {
    if as_json {
        let list: Vec<Value> = catalogue.iter().map(document).collect();
        print::json(&Value::Array(list))?;
        return Ok(Found::Nothing);
    }
    let head = [
        ("id", Align::Left),
        ("name", Align::Left),
        ("most", Align::Right),
        ("time", Align::Right),
        ("how well known", Align::Left),
    ];
    let rows: Vec<Vec<String>> = catalogue
        .iter()
        .map(|t| {
            vec![
                t.id().to_owned(),
                t.name().to_owned(),
                t.max_distance()
                    .map_or_else(String::new, |d| format!("{} m", short(d.as_m_f64(), 0))),
                t.duration()
                    .map_or_else(String::new, |d| clock(d.as_secs_f64())),
                t.status().to_string(),
            ]
        })
        .collect();
    print::text(print::table(&head, &rows))?;
    print::text(
        "\n\"How well known\" is the weakest tag among the values that make the test; \
         `plimsoll ladder ID` shows its ladder.",
    )?;
    Ok(Found::Nothing)
}

fn document(test: &Test) -> Value {
    json!({
        "id": test.id(),
        "name": test.name(),
        "shape": test.shape().as_str(),
        "status": test.status().as_str(),
        "max_distance_m": test.max_distance().map(|d| number(d.as_m_f64())),
        "duration_s": test.duration().map(|d| number(d.as_secs_f64())),
        "bouts": test.ladder().map(|l| l.bouts().len()),
        "maximal": test.definition().maximal,
        "easier": test.definition().easier,
        "built_in": test.is_built_in(),
    })
}
