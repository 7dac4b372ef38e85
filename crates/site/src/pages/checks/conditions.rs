//! Readings of heat and wind: what was read, and what the policies advise for it.
//! Must advise and record, and never block.

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use plimsoll_archive::{DayId, DayPaper, PaperKind};
use plimsoll_desk::test_day::{Conditions, Decision};
use plimsoll_ladder::Test;
use plimsoll_pitch::{
    Circumstances, Sky, Verdict, Weather, across, advice, along_lanes, direct_fraction, heat, sun,
};

use super::decision::in_words;
use super::{Refused, clock, day_id, keep, latest, number_field, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;

/// The latest reading with the advice, the decision, and the forms for both.
pub(super) fn conditions_part(who: &Who, id: DayId, test: &Test, papers: &[DayPaper]) -> Markup {
    let read: Option<(Conditions, i64)> = latest(papers, PaperKind::Conditions, "conditions");
    let decided: Option<(Decision, i64)> = latest(papers, PaperKind::Decision, "decision");
    let easier = test.definition().easier.as_deref();
    html! {
        section.ruled {
            h2 { "Conditions" }
            @if let Some((read, at)) = &read {
                p { "Read at " (clock(*at)) ": "
                    @if let Some(wbgt) = read.wbgt_c {
                        strong { "WBGT " (format!("{wbgt:.1}")) " °C" }
                        @if read.estimate { " (estimate, no globe reading)" } ". "
                    }
                    @if let Some(along) = read.wind_along_m_s {
                        "Wind along the lanes " (format!("{:.1}", along.abs())) " m/s. "
                        @if along.abs() > 3.0 { strong { "It never cancels out over out and back; lay the lanes across. " } }
                    }
                    @if let Some(from) = read.wind_from_deg { "Across the wind is a bearing of " (format!("{:.0}", across(from))) "°." }
                }
                @if let Some(wbgt) = read.wbgt_c { (policies(wbgt)) }
            } @else { p { "Not read yet. Read at the pitch, not from a forecast; again every half hour and between waves." } }
            @if let Some((decided, at)) = &decided {
                p.note { strong { "Decided at " (clock(*at)) ": " } (in_words(decided.verdict)) "."
                    @if let Some(words) = &decided.words { " " (words) } }
            }
            form method="post" action=(format!("/checks/{id}/conditions")) {
                (seal(who))
                (number_field("temperature_c", "Air temperature", "°C", "In the shade, at pitch height."))
                (number_field("humidity_percent", "Relative humidity", "%", ""))
                (number_field("wind_m_s", "Wind", "m/s", ""))
                (number_field("wind_from_deg", "Wind comes from", "degrees", "0 north, 90 east."))
                (number_field("lanes_deg", "Lanes point to", "degrees", "From the start line to the far line."))
                (number_field("globe_c", "Globe temperature", "°C", "If there is a globe; then leave out the sun."))
                (number_field("solar_w_m2", "Sun on a flat surface", "W/m²", "About 900 at a clear noon, 150 under cloud, 0 at night."))
                (number_field("lat", "Latitude", "degrees", "For the sun's place, with the longitude."))
                (number_field("lon", "Longitude", "degrees", ""))
                label.field { "Surface" input name="surface" maxlength="60"; }
                p { button.button type="submit" { "Keep the reading" } }
            }
            form method="post" action=(format!("/checks/{id}/decision")) {
                (seal(who))
                label.field { "Decision" select name="verdict" {
                    option value="run" { "run as planned" }
                    option value="easier" { "the easier form" @if let Some(easier) = easier { ": " (easier) } }
                    option value="later" { "later, or another day" }
                    option value="run_anyway" { "run, against the advice" }
                } }
                label.field { "In your words" input name="words" maxlength="300"; }
                p { button.button-quiet type="submit" { "Record the decision" } }
            }
        }
    }
}

fn policies(wbgt: f64) -> Markup {
    let groups = [
        (
            "Minors, or not used to heat",
            Circumstances {
                minors: true,
                acclimatised: false,
                lowered: false,
            },
        ),
        (
            "Adults used to heat",
            Circumstances {
                minors: false,
                acclimatised: true,
                lowered: false,
            },
        ),
    ];
    html! {
        @for (group, who) in groups {
            h3 { (group) }
            div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                thead { tr { th scope="col" { "Policy" } th scope="col" { "Band, °C" } th scope="col" { "A maximal test" }
                    th scope="col" { "Advice" } th scope="col" { "Source" } } }
                tbody { @for one in advice(wbgt, &who) { tr {
                    td { (one.policy) } td { (one.band) }
                    td { (match one.verdict {
                        Verdict::Run => "run",
                        Verdict::Care => "run with care",
                        Verdict::Easier => "easier form or later",
                        Verdict::NoTest => "no test",
                    }) }
                    td { (one.text) }
                    td { (one.source) " (" (one.confidence) ")" }
                } } }
            } }
        }
        p.hint { "Advice, not a decision. Count one band lower after heat illness, fever, a lay-off or arrival from a cooler place." }
    }
}

/// `POST /checks/{day}/conditions`.
pub async fn conditions(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_be_staff()?;
    let id = day_id(&day)?;
    let mut read = Conditions {
        temperature_c: form.number("temperature_c", -30.0..=55.0)?,
        humidity_percent: form.number("humidity_percent", 1.0..=100.0)?,
        wind_m_s: form.number("wind_m_s", 0.0..=40.0)?,
        wind_from_deg: form.number("wind_from_deg", 0.0..=360.0)?,
        lanes_deg: form.number("lanes_deg", 0.0..=360.0)?,
        solar_w_m2: form.number("solar_w_m2", 0.0..=1400.0)?,
        globe_c: form.number("globe_c", -30.0..=90.0)?,
        surface: form.short("surface", 60)?,
        ..Conditions::default()
    };
    let place = form
        .number("lat", -90.0..=90.0)?
        .zip(form.number("lon", -180.0..=180.0)?);
    if let Some((wbgt, estimate)) = wbgt(&read, place, app.now_ms())? {
        read.wbgt_c = Some(wbgt);
        read.estimate = estimate;
    }
    if let (Some(wind), Some(from), Some(lanes)) =
        (read.wind_m_s, read.wind_from_deg, read.lanes_deg)
    {
        read.wind_along_m_s = Some(along_lanes(wind, from, lanes));
    }
    let known = read.clone();
    app.keeper()
        .with(move |writer| {
            let day = writer.day(id)?;
            let mut facts = day
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?
                .facts;
            facts.temperature_c = known.temperature_c.or(facts.temperature_c);
            facts.humidity_percent = known.humidity_percent.or(facts.humidity_percent);
            facts.wind_m_s = known.wind_m_s.or(facts.wind_m_s);
            facts.wind_along_lane_m_s = known.wind_along_m_s.or(facts.wind_along_lane_m_s);
            facts.wbgt_c = known.wbgt_c.or(facts.wbgt_c);
            facts.surface = known.surface.clone().or(facts.surface);
            Ok(writer.correct_day(id, &facts, "the conditions were read")?)
        })
        .await?;
    keep(&app, id, PaperKind::Conditions, &read).await
}

/// Returns the wet-bulb globe temperature and whether it is an estimate; nothing when too little is known.
fn wbgt(
    read: &Conditions,
    place: Option<(f64, f64)>,
    now_ms: i64,
) -> Result<Option<(f64, bool)>, Fault> {
    let (Some(temperature_c), Some(humidity_percent), Some(wind_m_s)) =
        (read.temperature_c, read.humidity_percent, read.wind_m_s)
    else {
        return Ok(None);
    };
    let weather = Weather {
        temperature_c,
        humidity_percent,
        wind_m_s,
        wind_height_m: 2.0,
        pressure_hpa: 1013.25,
    };
    let refused = |fault: plimsoll_pitch::PitchFault| {
        Fault::value(
            "conditions",
            &fault.to_string(),
            "readings that belong together",
        )
    };
    let (sky, estimate) = match (read.globe_c, read.solar_w_m2, place) {
        (Some(globe_c), ..) => (Sky::Globe { globe_c, sun: None }, false),
        (None, Some(solar), Some((lat, lon))) if solar > 0.0 => {
            let place = sun(lat, lon, now_ms).map_err(refused)?;
            let (solar, direct) =
                direct_fraction(solar, place.cos_zenith, place.distance_au).map_err(refused)?;
            let sky = Sky::Sun {
                solar_w_m2: solar,
                cos_zenith: place.cos_zenith,
                direct,
            };
            (sky, true)
        }
        (None, Some(solar), _) => {
            // Without the sun's place its light is taken as coming from all sides.
            let sky = Sky::Sun {
                solar_w_m2: solar,
                cos_zenith: 1.0,
                direct: 0.0,
            };
            (sky, true)
        }
        (None, None, _) => return Ok(None),
    };
    Ok(Some((
        heat(&weather, &sky).map_err(refused)?.wbgt_c,
        estimate,
    )))
}
