//! Where a value stands: from L, M and S, or in the references of a test.
//! "No adequate reference" is an answer.

use plimsoll_interpret::Catalogue as Facts;
use plimsoll_interpret::InterpretError;
use plimsoll_interpret::reference::{
    ReferenceAnswer, ReferenceMatch, ReferenceQuery, ReferenceStanding, find_references,
};
use plimsoll_measure::MeasureError;
use plimsoll_measure::norms::Lms;
use serde_json::{Value, json};

/// A standing with what it is measured against.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Standard deviations from the middle; none when no z can be given.
    pub z: Option<f64>,
    /// Percent of the reference below.
    pub centile: Option<f64>,
    /// The reference, for programs.
    pub reference: Value,
    /// Further matches, for programs.
    pub others: Vec<Value>,
    /// The answer in words.
    pub words: Vec<String>,
}

/// Places a value by L, M and S.
///
/// # Errors
///
/// [`MeasureError`] when one of the numbers is outside what it may be.
pub fn standing_of_lms(l: f64, m: f64, s: f64, value: f64) -> Result<Standing, MeasureError> {
    let at = Lms::new(l, m, s)?.standing(value)?;
    Ok(Standing {
        z: Some(at.z),
        centile: Some(at.centile),
        reference: json!({ "l": l, "m": m, "s": s, "source": "as given" }),
        others: Vec::new(),
        words: vec![format!(
            "z {:.2}, centile {:.1}: L {l}, M {m}, S {s} as given",
            at.z, at.centile
        )],
    })
}

/// Places a value in the references of a test.
///
/// # Errors
///
/// [`InterpretError`] when value or age cannot be used.
pub fn standing_in(facts: &Facts, query: &ReferenceQuery) -> Result<Standing, InterpretError> {
    let matches = match find_references(facts, query)? {
        ReferenceAnswer::Found { matches } => matches,
        ReferenceAnswer::NoAdequateReference {
            looked_for,
            why,
            nearest,
        } => {
            let mut words = vec![format!("No adequate reference for {looked_for}: {why}.")];
            words.extend(nearest.iter().map(|n| format!("nearest: {n}")));
            return Ok(Standing {
                z: None,
                centile: None,
                reference: Value::Null,
                others: nearest.iter().map(|n| json!({ "nearest": n })).collect(),
                words,
            });
        }
    };
    let placed = |m: &ReferenceMatch| matches!(m.standing, ReferenceStanding::Placed { .. });
    let first = matches.iter().position(placed).unwrap_or(0);
    let (z, centile) = match matches[first].standing {
        ReferenceStanding::Placed { z, centile } => (Some(z), Some(centile)),
        _ => (None, None),
    };
    let order = std::iter::once(first).chain((0..matches.len()).filter(|i| *i != first));
    Ok(Standing {
        z,
        centile,
        reference: json!(matches[first]),
        others: matches
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != first)
            .map(|(_, m)| json!(m))
            .collect(),
        words: order.map(|i| words(&matches[i])).collect(),
    })
}

fn words(found: &ReferenceMatch) -> String {
    let standing = match &found.standing {
        ReferenceStanding::Placed { z, centile } => format!("z {z:.2}, centile {centile:.1}"),
        ReferenceStanding::OffTable { words } => words.clone(),
        ReferenceStanding::MeanOnly { mean, sd, why } => {
            let sd = sd.map_or(String::new(), |sd| format!(", SD {sd:.0}"));
            format!("no z ({why}): mean {mean:.1}{sd} {}", found.unit)
        }
        ReferenceStanding::Range { low, high } => {
            format!("no z: a coarse range, {low} to {high} {}", found.unit)
        }
        ReferenceStanding::CutPoint { at, reached } => format!(
            "no z: cut-point {at} {}{}",
            found.unit,
            match reached {
                Some(true) => ", reached",
                Some(false) => ", not reached",
                None => "",
            }
        ),
        ReferenceStanding::NotPlaced => "no value to place".to_owned(),
    };
    format!(
        "{standing}: {}; {}; {} ({}); n {}; {} ({})",
        found.title,
        found.group,
        found.grade,
        found.reasons.join(", "),
        found.n.map_or("not known".to_owned(), |n| n.to_string()),
        found.source,
        found.confidence
    )
}
