//! The emergency card of a day: who does what, and the walk to the defibrillator.

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use plimsoll_archive::{DayId, DayPaper, PaperKind};
use plimsoll_desk::test_day::EmergencyCard;

use super::{Refused, day_id, keep, latest, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;

/// Fields of the emergency card: name, question.
const CARD: [(&str, &str); 11] = [
    ("venue", "Venue"),
    ("leads", "Who leads"),
    ("calls", "Who calls"),
    ("phone", "Number to call"),
    ("fetches_aed", "Who fetches the defibrillator"),
    ("aed_place", "Where it is"),
    ("opens_gate", "Who opens the gate"),
    ("meets_ambulance", "Who meets the ambulance"),
    ("address", "Address to say"),
    ("grid", "Map reference"),
    ("hospital", "Nearest hospital"),
];

/// The card as it stands, to fill in.
pub(super) fn emergency_part(who: &Who, id: DayId, papers: &[DayPaper]) -> Markup {
    let card: Option<(EmergencyCard, i64)> = latest(papers, PaperKind::Emergency, "emergency");
    let card = card.map(|(card, _)| card).unwrap_or_default();
    html! {
        section.ruled {
            h2 { "Emergency card" }
            p { "Rehearse it. A collapse in exertion is cardiac arrest until proved otherwise. Heat stroke: cool "
                "first, transport second. Aim: a defibrillator within three minutes." }
            form method="post" action=(format!("/checks/{id}/emergency")) {
                (seal(who))
                @for (name, label) in CARD {
                    label.field { (label) input name=(name) maxlength="200" value=(field(&card, name)); }
                }
                label.field { "Walk to the defibrillator, s" input name="aed_walk_s" inputmode="numeric"
                    value=(card.aed_walk_s.map_or(String::new(), |s| s.to_string())); }
                p { button.button type="submit" { "Keep the card" } }
            }
        }
    }
}

fn field<'a>(card: &'a EmergencyCard, name: &str) -> &'a str {
    match name {
        "venue" => &card.venue,
        "leads" => &card.leads,
        "calls" => &card.calls,
        "phone" => &card.phone,
        "fetches_aed" => &card.fetches_aed,
        "aed_place" => &card.aed_place,
        "opens_gate" => &card.opens_gate,
        "meets_ambulance" => &card.meets_ambulance,
        "address" => &card.address,
        "grid" => &card.grid,
        _ => &card.hospital,
    }
}

/// `POST /checks/{day}/emergency`.
pub async fn emergency(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_be_staff()?;
    let id = day_id(&day)?;
    let text =
        |name: &str| -> Result<String, Fault> { Ok(form.short(name, 200)?.unwrap_or_default()) };
    let card = EmergencyCard {
        venue: text("venue")?,
        leads: text("leads")?,
        calls: text("calls")?,
        phone: text("phone")?,
        fetches_aed: text("fetches_aed")?,
        aed_place: text("aed_place")?,
        aed_walk_s: form.number("aed_walk_s", 0.0..=3_600.0)?.map(|s| s as u16),
        opens_gate: text("opens_gate")?,
        meets_ambulance: text("meets_ambulance")?,
        address: text("address")?,
        grid: text("grid")?,
        hospital: text("hospital")?,
    };
    keep(&app, id, PaperKind::Emergency, &card).await
}
