//! `plimsoll cautions`: what belongs to every maximal test.

use plimsoll_report::Cautions;
use serde_json::json;

use crate::failure::{Failure, Found};
use crate::print;

/// Prints the cautions.
pub fn run(as_json: bool) -> Result<Found, Failure> {
    let cautions = Cautions::default();
    if as_json {
        print::json(&json!({ "short": cautions.short, "full": cautions.full }))?;
    } else {
        for (head, text) in &cautions.full {
            print::text(format!("{head}\n{}\n", print::wrapped(text, 88)))?;
        }
    }
    Ok(Found::Nothing)
}
