//! `plimsoll locate ID`: the place on a ladder for a label, a count, a distance, a time or a speed.

use plimsoll_ladder::{Catalogue, LocateError, Place, Query, Test};
use serde_json::{Value, json};

use crate::failure::{Failure, Found};
use crate::print::{self, clock, number, short};

/// Prints the place, or fails naming the ladders where it would exist.
pub fn run(
    catalogue: &Catalogue,
    test: &Test,
    query: &Query,
    as_json: bool,
) -> Result<Found, Failure> {
    let place = catalogue.locate(test, query).map_err(|e| failure(&e))?;
    if as_json {
        print::json(&document(&place))?;
    } else {
        print::text(words(test, &place))?;
    }
    Ok(Found::Nothing)
}

fn document(place: &Place) -> Value {
    json!({
        "bout": place.bout,
        "label": place.label,
        "distance_m": number(place.distance.as_m_f64()),
        "speed_kmh": place.speed.map(|v| number(v.as_kmh_f64())),
        "finish_s": number(place.finish.as_secs_f64()),
    })
}

fn words(test: &Test, place: &Place) -> String {
    match (&place.label, place.speed) {
        (Some(label), Some(speed)) => format!(
            "{}: {label} is bout {}, {} m in all, at {} km/h, finished {} after the first start",
            test.id(),
            place.bout,
            short(place.distance.as_m_f64(), 1),
            short(speed.as_kmh_f64(), 4),
            clock(place.finish.as_secs_f64()),
        ),
        _ => format!("{}: no bout is finished by then", test.id()),
    }
}

fn failure(error: &LocateError) -> Failure {
    let places: Vec<Value> = error
        .exists_on
        .iter()
        .map(|p| json!({ "id": p.id, "bout": p.bout, "distance_m": number(p.distance.as_m_f64()) }))
        .collect();
    let hint = match error.exists_on.first() {
        Some(place) => format!(
            "was another test run? look with `plimsoll ladder {}`; to test a whole sheet, use \
             `plimsoll examine FILE`",
            place.id
        ),
        None => format!("look at the labels with `plimsoll ladder {}`", error.id),
    };
    Failure::new(error)
        .hint(hint)
        .with("exists_on", Value::Array(places))
}
