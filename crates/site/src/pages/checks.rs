//! Checks of a day: the taped course, the conditions with advice and decision, the emergency card.
//! Must advise and record, and never block; the decision is the lead's.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{DayId, DayPaper, PaperKind};
use plimsoll_desk::test_day::{
    Conditions, CourseReadings, Decision, EmergencyCard, Verdict as Decided, read_paper,
    write_paper,
};
use plimsoll_ladder::Test;
use plimsoll_pitch::{
    Circumstances, Course, CourseFault, Readings, Sky, Verdict, Weather, across, advice,
    along_lanes, course, direct_fraction, heat, sun,
};
use serde::Serialize;

use super::frame::{Refused, page as framed, seal};
use super::plan::day_id;
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::waves::known_test;

/// Lanes of a wave, for the width of the course, when nobody says.
const LANES: f64 = 12.0;
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

/// `GET /checks/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_be_staff()?;
    let id = day_id(&day)?;
    let (facts, papers) = app
        .keeper()
        .with(move |writer| {
            let day = writer
                .day(id)?
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
            Ok((day.facts, writer.papers(id)?))
        })
        .await?;
    let test = known_test(&app, facts.ladder_id.as_deref().unwrap_or_default())?;
    let body = html! {
        h1 { "Checks" }
        p { (facts.date) " · " (test.name()) }
        (course_part(&who, id, test, &papers))
        (conditions_part(&who, id, test, &papers))
        (emergency_part(&who, id, &papers))
    };
    Ok(framed(&who, "Checks", "", &body).into_response())
}

fn latest<T: serde::de::DeserializeOwned>(
    papers: &[DayPaper],
    kind: PaperKind,
    what: &'static str,
) -> Option<(T, i64)> {
    let paper = papers.iter().rfind(|paper| paper.kind == kind)?;
    Some((read_paper(what, &paper.document).ok()?, paper.at_ms))
}

fn number_field(name: &str, label: &str, unit: &str, hint: &str) -> Markup {
    html! {
        label.field { (label) ", " (unit)
            input name=(name) inputmode="decimal" autocomplete="off";
            @if !hint.is_empty() { span.hint { (hint) } }
        }
    }
}

/// Returns the readings with what the definition says of the course.
fn readings(test: &Test, taped: &CourseReadings) -> Readings {
    let course = &test.definition().course;
    let length = |value: Option<f64>, otherwise: f64| value.unwrap_or(otherwise);
    let leg = course.leg.as_ref().map(|leg| leg.value.as_m_f64());
    let lane = course.lane_width.as_ref().map(|w| w.value.as_m_f64());
    Readings {
        left_m: taped.left_m,
        right_m: taped.right_m,
        diagonal_a_m: taped.diagonal_a_m,
        diagonal_b_m: taped.diagonal_b_m,
        near_m: taped.near_m,
        far_m: taped.far_m,
        nominal_m: length(leg, 20.0),
        width_m: taped
            .near_m
            .or(taped.far_m)
            .unwrap_or(LANES * length(lane, 1.0)),
    }
}

/// Returns what a course is worth to someone who stops half way up the ladder, in words.
fn worth(test: &Test, found: &Course) -> String {
    let half = test
        .ladder()
        .map_or(1, |ladder| (ladder.bouts().len() / 2).max(1));
    let bouts = plimsoll_desk::worth_bouts(test, u32::try_from(half).unwrap_or(1), found.error_ppm);
    let share = found.error_ppm / 10_000.0;
    match bouts {
        Some(bouts) if bouts.abs() >= 0.05 => format!(
            "{:.3} m ({share:+.2} %): everyone is {} by about {:.1} bouts",
            found.mean_m,
            if bouts > 0.0 { "favoured" } else { "held back" },
            bouts.abs()
        ),
        _ => format!(
            "{:.3} m ({share:+.2} %): worth nothing to anyone",
            found.mean_m
        ),
    }
}

fn course_part(who: &Who, id: DayId, test: &Test, papers: &[DayPaper]) -> Markup {
    let taped: Option<(CourseReadings, i64)> = latest(papers, PaperKind::Course, "course");
    let checked = taped
        .as_ref()
        .map(|(taped, _)| course(&readings(test, taped)));
    html! {
        section.ruled {
            h2 { "Course" }
            @match &checked {
                None => p { "Not taped yet. Measure line to line, inside edge to inside edge, at both outer lanes." },
                Some(Err(fault)) => div.caution { p { strong { "Caution. " } (fault.to_string()) } },
                Some(Ok(found)) => {
                    p { (worth(test, found)) "." }
                    @if let Some(skew) = found.skew_m {
                        p { "The far line lies " (format!("{:.2}", skew.abs())) " m to the "
                            @if skew > 0.0 { "right" } @else { "left" } "." }
                    }
                    @for line in found.advice() { p { strong { "Do: " } (line) "." } }
                }
            }
            form method="post" action=(format!("/checks/{id}/course")) {
                (seal(who))
                (number_field("left_m", "Length at the left", "m", "Seen from the start line."))
                (number_field("right_m", "Length at the right", "m", ""))
                (number_field("diagonal_a_m", "Diagonal, near left to far right", "m", "Both diagonals show a skew."))
                (number_field("diagonal_b_m", "Diagonal, near right to far left", "m", ""))
                (number_field("near_m", "Width at the start line", "m", "If taped."))
                (number_field("far_m", "Width at the far line", "m", ""))
                label.field { input type="checkbox" name="after" value="yes"; " taped after the run" }
                p { button.button type="submit" { "Check the course" } }
            }
        }
    }
}

fn conditions_part(who: &Who, id: DayId, test: &Test, papers: &[DayPaper]) -> Markup {
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

fn emergency_part(who: &Who, id: DayId, papers: &[DayPaper]) -> Markup {
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

const fn in_words(verdict: Decided) -> &'static str {
    match verdict {
        Decided::Run => "run as planned",
        Decided::Easier => "the easier form",
        Decided::Later => "later, or another day",
        Decided::RunAnyway => "run, against the advice",
    }
}

fn clock(ms: i64) -> String {
    jiff::Timestamp::from_millisecond(ms)
        .map_or_else(|_| String::new(), |at| at.strftime("%H:%M UTC").to_string())
}

/// Keeps a paper and goes back to the page.
async fn keep<T: Serialize>(
    app: &App,
    id: DayId,
    kind: PaperKind,
    paper: &T,
) -> Result<Response, Refused> {
    let document = write_paper(paper);
    app.keeper()
        .with(move |writer| Ok(writer.add_paper(id, kind, None, &document)?))
        .await?;
    Ok(Redirect::to(&format!("/checks/{id}")).into_response())
}

/// `POST /checks/{day}/course`.
pub async fn taped(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_be_staff()?;
    let id = day_id(&day)?;
    let metres = |name: &str| form.number(name, 0.1..=500.0);
    let needed = |name: &str| -> Result<f64, Fault> {
        metres(name)?.ok_or_else(|| Fault::value(name, "nothing", "a length in metres"))
    };
    let taped = CourseReadings {
        left_m: needed("left_m")?,
        right_m: needed("right_m")?,
        diagonal_a_m: metres("diagonal_a_m")?,
        diagonal_b_m: metres("diagonal_b_m")?,
        near_m: metres("near_m")?,
        far_m: metres("far_m")?,
        after: form.text("after") == Some("yes"),
    };
    let facts = app
        .keeper()
        .with(move |writer| {
            let day = writer.day(id)?;
            Ok(day
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?
                .facts)
        })
        .await?;
    let test = known_test(&app, facts.ladder_id.as_deref().unwrap_or_default())?;
    match course(&readings(test, &taped)) {
        // A wrong reading is kept as it was taped, and named on the page; the day is left alone.
        Err(CourseFault::Blunder { .. }) => {}
        Err(fault) => {
            let words = fault.to_string();
            return Err(Fault::value("course", &words, "readings of a course").into());
        }
        Ok(found) => {
            let mut facts = facts;
            facts.course_length_mm = Some((found.mean_m * 1000.0).round() as u32);
            app.keeper()
                .with(move |writer| Ok(writer.correct_day(id, &facts, "the course was taped")?))
                .await?;
        }
    }
    keep(&app, id, PaperKind::Course, &taped).await
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

/// `POST /checks/{day}/decision`.
pub async fn decide(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    let verdict = match form.text("verdict") {
        Some("run") => Decided::Run,
        Some("easier") => Decided::Easier,
        Some("later") => Decided::Later,
        Some("run_anyway") => Decided::RunAnyway,
        _ => {
            return Err(
                Fault::value("verdict", "another word", "run, easier, later, run_anyway").into(),
            );
        }
    };
    let papers = app
        .keeper()
        .with(move |writer| Ok(writer.papers(id)?))
        .await?;
    let read: Option<(Conditions, i64)> = latest(&papers, PaperKind::Conditions, "conditions");
    let wbgt = read.and_then(|(read, _)| read.wbgt_c);
    let strict = Circumstances {
        minors: true,
        acclimatised: false,
        lowered: false,
    };
    let advised = wbgt.and_then(|wbgt| advice(wbgt, &strict).into_iter().next());
    let decision = Decision {
        verdict,
        advice: advised.map_or_else(
            || "no reading of the heat".to_owned(),
            |advised| format!("{} °C: {}", advised.band, advised.text),
        ),
        words: form.short("words", 300)?,
    };
    keep(&app, id, PaperKind::Decision, &decision).await
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
