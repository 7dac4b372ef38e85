//! The taped course: readings in, what the length is worth out.
//! A wrong reading is kept as it was taped and named; the day is left alone then.

use axum::extract::{Path, State};
use axum::response::Response;
use maud::{Markup, html};
use plimsoll_archive::{DayId, DayPaper, PaperKind};
use plimsoll_desk::test_day::CourseReadings;
use plimsoll_ladder::Test;
use plimsoll_pitch::{Course, CourseFault, Readings, course};

use super::{Refused, day_id, keep, latest, number_field, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::waves::known_test;

/// Lanes of a wave, for the width of the course, when nobody says.
const LANES: f64 = 12.0;

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

/// The course as taped, with what to do.
pub(super) fn course_part(who: &Who, id: DayId, test: &Test, papers: &[DayPaper]) -> Markup {
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
