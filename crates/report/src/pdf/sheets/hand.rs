//! Data of the sheets handed around: arrival list, slips for the medic, pages to join by phone.
//! Must not put a health question on the list that a whole group reads.

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};
use serde_json::{Value, json};

use super::{place, shown};
use crate::ReportError;
use crate::model::{DaySheets, JoinCode};

/// Longest address that still gives a code a phone reads off wet paper, letters.
const LONGEST_ADDRESS: usize = 300;
/// Most empty rows.
const MOST_SPARE: u8 = 60;

/// Returns the data of the group's list and of the slips.
pub fn arrival(day: &DaySheets) -> Vec<Value> {
    let Some(check) = &day.arrival else {
        return Vec::new();
    };
    let mut people: Vec<Value> = check
        .people
        .iter()
        .map(|p| json!({ "bib": shown(&p.bib), "name": shown(&p.name) }))
        .collect();
    let spare = check.spare.min(MOST_SPARE);
    people.extend((0..spare).map(|_| json!({ "bib": "", "name": "" })));
    let sheet = |kind: &str| json!({ "kind": kind, "place": place(day), "people": people });
    let wanted = [(check.group, "arrival"), (check.slips, "slips")];
    wanted
        .into_iter()
        .filter(|(wanted, _)| *wanted && !people.is_empty())
        .map(|(_, kind)| sheet(kind))
        .collect()
}

/// Returns the picture of every join page's code.
pub fn codes(day: &DaySheets) -> Result<Vec<String>, ReportError> {
    day.join.iter().map(code).collect()
}

/// Returns the data of one join page.
pub fn join(day: &DaySheets, page: &JoinCode, svg: &str) -> Value {
    json!({
        "kind": "join",
        "place": place(day),
        "title": shown(&page.title),
        "wave": shown(&page.wave),
        "url": page.url,
        "code": shown(&page.code),
        "note": shown(&page.note),
        "svg": svg,
        "alt": format!("Square code that opens {}", page.url),
    })
}

/// Draws the code with as much room for damage as its length allows.
fn code(page: &JoinCode) -> Result<String, ReportError> {
    let refuse = |found: String| ReportError::JoinAddress {
        page: page.title.clone(),
        found,
        longest: LONGEST_ADDRESS,
    };
    let length = page.url.chars().count();
    if length == 0 {
        return Err(refuse("no address".to_owned()));
    }
    if let Some(c) = page.url.chars().find(|c| !c.is_ascii_graphic()) {
        return Err(refuse(format!(
            "the letter U+{:04X} in its address",
            u32::from(c)
        )));
    }
    if length > LONGEST_ADDRESS {
        return Err(refuse(format!("an address of {length} letters")));
    }
    let level = if length <= 120 {
        EcLevel::Q
    } else {
        EcLevel::M
    };
    let code = QrCode::with_error_correction_level(&page.url, level)
        .map_err(|error| refuse(format!("an address that gives no code ({error})")))?;
    Ok(code
        .render::<svg::Color<'_>>()
        .quiet_zone(true)
        .dark_color(svg::Color("#000000"))
        .light_color(svg::Color("#ffffff"))
        .build())
}
