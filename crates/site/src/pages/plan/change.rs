//! A plan changed by hand: lanes, starts, who watches.
//! Must write a plan only when it holds together.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{DayId, PaperKind};
use plimsoll_desk::test_day::{Plan, PlannedWave, write_paper};
use plimsoll_judge::PlannedAssessor;
use std::collections::BTreeMap;

use super::{Refused, day_id, known, not_opened, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;

/// The form that changes lanes by hand.
pub(super) fn edit(who: &Who, day: DayId, plan: &Plan, names: &BTreeMap<String, String>) -> Markup {
    html! {
        details {
            summary { "Change lanes by hand" }
            form method="post" action=(format!("/plan/{day}/change")) {
                (seal(who))
                p.hint { "A lane of 0 takes the runner out of the wave. Each assessor's lanes in the order seen." }
                @for wave in &plan.waves {
                    fieldset {
                        legend { (wave.name) }
                        label.field { "Start" input type="time" name=(format!("start-{}", wave.number))
                            value=(wave.start.as_deref().unwrap_or("")); }
                        @for runner in &wave.runners {
                            label.field {
                                (names.get(&runner.person).map_or("unknown", String::as_str)) ", lane"
                                input type="number" min="0" max="200" required
                                    name=(format!("lane-{}-{}", wave.number, runner.person)) value=(runner.lane);
                            }
                        }
                        @for (assessor, n) in wave.assessors.iter().zip(1..) {
                            label.field {
                                "Name of assessor " (n)
                                input name=(format!("assessor-{}-{n}", wave.number)) value=(assessor.name) maxlength="60";
                            }
                            label.field {
                                "Lanes of assessor " (n)
                                input name=(format!("watch-{}-{n}", wave.number)) required
                                    value=(assessor.lanes.iter().map(u16::to_string).collect::<Vec<_>>().join(" "));
                            }
                        }
                    }
                }
                p { button.button type="submit" { "Keep these lanes" } }
            }
        }
    }
}

/// `POST /plan/{day}/change`.
pub async fn change(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    app.keeper()
        .with(move |writer| {
            let known = known(writer, id)?;
            not_opened(&known)?;
            let mut plan = known
                .plan
                .ok_or_else(|| Fault::missing("plan", "none dealt yet"))?;
            for wave in &mut plan.waves {
                changed(wave, &form)?;
            }
            plan.waves.retain(|wave| !wave.runners.is_empty());
            if let Some(fault) = plan.faults().first() {
                return Err(Fault::value(
                    "plan",
                    &fault.to_string(),
                    "a plan that holds together",
                ));
            }
            writer.add_paper(id, PaperKind::Plan, None, &write_paper(&plan))?;
            Ok(())
        })
        .await?;
    Ok(Redirect::to(&format!("/plan/{id}")).into_response())
}

/// Puts what was typed into a wave.
fn changed(wave: &mut PlannedWave, form: &Guarded) -> Result<(), Fault> {
    let number = wave.number;
    wave.start = form.short(&format!("start-{number}"), 5)?;
    for runner in &mut wave.runners {
        let field = format!("lane-{number}-{}", runner.person);
        if let Some(lane) = form.number(&field, 0.0..=200.0)? {
            runner.lane = lane as u16;
        }
    }
    wave.runners.retain(|runner| runner.lane > 0);
    let mut assessors = Vec::new();
    for (old, n) in wave.assessors.iter().zip(1..) {
        let name = form.short(&format!("assessor-{number}-{n}"), 60)?;
        let written = form
            .text(&format!("watch-{number}-{n}"))
            .unwrap_or_default();
        let lanes = written
            .split(|c: char| !c.is_ascii_digit())
            .filter(|part| !part.is_empty())
            .map(|part| {
                let bad = || Fault::value("lanes", part, "lane numbers from 1 to 200");
                part.parse::<u16>().map_err(|_| bad())
            })
            .collect::<Result<Vec<_>, _>>()?;
        let lanes = lanes
            .into_iter()
            .filter(|lane| wave.runners.iter().any(|r| r.lane == *lane))
            .collect();
        assessors.push(PlannedAssessor {
            name: name.unwrap_or_else(|| old.name.clone()),
            lanes,
        });
    }
    wave.assessors = assessors;
    Ok(())
}
