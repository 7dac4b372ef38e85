//! The plan of a day: who runs in which lane, who watches; opening the waves.
//! Must show no reason of a code, and must write a plan only when it holds together.

use std::collections::BTreeMap;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use plimsoll_archive::{DayId, PaperKind, Person, ResultFilter, TestDay, Writer};
use plimsoll_desk::test_day::{
    Code, Expected, Participation, Plan, PlannedWave, deal, opening, read_paper, write_paper,
};
use plimsoll_judge::{DeviceId, Event, PlannedAssessor, Role, VERSION, What};

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::{Guarded, Who};
use crate::fault::Fault;
use crate::waves::{known_test, stored_form};

/// What the page needs to know.
struct Known {
    day: TestDay,
    people: Vec<Person>,
    plan: Option<Plan>,
    codes: BTreeMap<String, Code>,
    opened: usize,
    last: BTreeMap<String, u32>,
}

/// Reads the id of a day.
pub fn day_id(text: &str) -> Result<DayId, Fault> {
    text.parse()
        .map_err(|_| Fault::missing("test day", "an id that is none"))
}

/// Returns the codes in force on a day, by person.
pub fn codes(writer: &Writer, day: DayId) -> Result<BTreeMap<String, Code>, Fault> {
    let mut codes = BTreeMap::new();
    for paper in writer.papers(day)? {
        if paper.kind == PaperKind::Participation
            && let Some(person) = paper.subject
            && let Ok(said) = read_paper::<Participation>("participation", &paper.document)
        {
            codes.insert(person, said.code);
        }
    }
    Ok(codes)
}

fn known(writer: &Writer, id: DayId) -> Result<Known, Fault> {
    let day = writer
        .day(id)?
        .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
    let plan = match writer.paper(id, PaperKind::Plan, None)? {
        None => None,
        Some(paper) => read_paper_plan(&paper.document),
    };
    let filter = ResultFilter {
        ladder: day.facts.ladder_id.clone(),
        ..ResultFilter::default()
    };
    let mut last = BTreeMap::new();
    for result in writer.results(&filter)? {
        if let ("bouts", bouts) = result.facts.outcome.amount.to_parts() {
            last.insert(result.person.to_string(), bouts);
        }
    }
    Ok(Known {
        people: writer.people()?,
        plan,
        codes: codes(writer, id)?,
        opened: writer.waves(id)?.len(),
        last,
        day,
    })
}

fn read_paper_plan(document: &serde_json::Value) -> Option<Plan> {
    serde_json::from_value(document.clone()).ok()
}

/// `GET /plan/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = day_id(&day)?;
    let known = app.keeper().with(move |writer| known(writer, id)).await?;
    let names: BTreeMap<String, String> = names(&known.people);
    let body = html! {
        h1 { "Plan" }
        p { (known.day.facts.date) " · " (known.day.facts.ladder_id.as_deref().unwrap_or("")) }
        div.caution { p { strong { "Caution. " }
            "A maximal test is for people who are cleared for it today, with a rehearsed emergency plan, "
            "a defibrillator within three minutes and a trained responder. When in doubt use the easier "
            "form or postpone. Medical staff and local rules go before anything this page says."
        } }
        @if let Some(plan) = &known.plan {
            p { a.button-quiet href=(format!("/sheets/{id}")) { "Paper sheets (PDF)" } " "
                a.button-quiet href=(format!("/briefing/{id}")) { "Briefing and rules" } }
            (plan_table(&known, plan, &names))
            @if known.opened == 0 {
                form method="post" action=(format!("/plan/{id}/open")) {
                    (seal(&who))
                    p { button.button type="submit" { "Open the waves" } }
                    p.hint { "Names, lanes and rules are fixed then. Who comes late can still join." }
                }
                (edit(&who, id, plan, &names))
            } @else {
                p.note { strong { "Opened. " } (known.opened) " waves are open or closed; the plan stays as it is." }
            }
        }
        @if known.opened == 0 { (proposal(&who, id, &known)) }
    };
    Ok(framed(&who, "Plan", "", &body).into_response())
}

fn names(people: &[Person]) -> BTreeMap<String, String> {
    let pair = |p: &Person| (p.id.to_string(), p.facts.called_name.clone());
    people.iter().map(pair).collect()
}

fn plan_table(known: &Known, plan: &Plan, names: &BTreeMap<String, String>) -> Markup {
    let name = |person: &str| {
        names
            .get(person)
            .cloned()
            .unwrap_or_else(|| "unknown".to_owned())
    };
    html! {
        @for wave in &plan.waves {
            section.ruled {
                h2 { (wave.name) @if let Some(start) = &wave.start { " · " (start) } }
                @for assessor in &wave.assessors {
                    h3 { (assessor.name) }
                    div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                        thead { tr {
                            th scope="col" class="number" { "Lane" } th scope="col" class="number" { "Bib" }
                            th scope="col" { "Name" } th scope="col" { "May do today" }
                            th scope="col" class="number" { "Bouts last time" }
                        } }
                        tbody {
                            @for lane in &assessor.lanes {
                                @if let Some(runner) = wave.runners.iter().find(|r| r.lane == *lane) {
                                    tr {
                                        td.number { (lane) }
                                        td.number { (runner.bib.as_deref().unwrap_or("")) }
                                        td { (name(&runner.person)) }
                                        td { (known.codes.get(&runner.person).copied().unwrap_or_default().in_words()) }
                                        td.number { @if let Some(n) = known.last.get(&runner.person) { (n) } }
                                    }
                                }
                            }
                        }
                    } }
                }
            }
        }
    }
}

fn proposal(who: &Who, day: DayId, known: &Known) -> Markup {
    html! {
        section.ruled {
            h2 { @if known.plan.is_some() { "Deal again" } @else { "Deal a first plan" } }
            p { "Runners of similar past results go together; within a wave they are dealt so that those "
                "who may stop together are watched by different people. It is a proposal." }
            form method="post" action=(format!("/plan/{day}/deal")) {
                (seal(who))
                label.field { "Runners in a wave, at most"
                    input type="number" name="lanes" min="1" max="60" value="24" required; }
                label.field { "Assessors on the line"
                    input type="number" name="assessors" min="1" max="12" value="3" required; }
                fieldset {
                    legend { "Who is here" }
                    @if known.people.is_empty() {
                        p { "Nobody is in the archive yet. " a href="/people" { "Add people first." } }
                    }
                    @for person in &known.people {
                        label.field {
                            input type="checkbox" name="here" value=(person.id) checked;
                            " " (person.facts.called_name)
                        }
                    }
                }
                p { button.button type="submit" { "Deal" } }
            }
        }
    }
}

fn edit(who: &Who, day: DayId, plan: &Plan, names: &BTreeMap<String, String>) -> Markup {
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

/// `POST /plan/{day}/deal`.
pub async fn deal_again(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    let whole = |name: &str, most: f64| -> Result<u16, Fault> {
        let n = form.number(name, 1.0..=most)?;
        Ok(n.unwrap_or(1.0) as u16)
    };
    let (lanes, assessors) = (whole("lanes", 60.0)?, whole("assessors", 12.0)?);
    let here: Vec<String> = form.all("here").to_vec();
    app.keeper()
        .with(move |writer| {
            let known = known(writer, id)?;
            not_opened(&known)?;
            let test = known.day.facts.ladder_id.clone().unwrap_or_default();
            let runners: Vec<Expected> = known
                .people
                .iter()
                .filter(|person| here.contains(&person.id.to_string()))
                .zip(1u32..)
                .map(|(person, n)| Expected {
                    person: person.id.to_string(),
                    bib: Some(n.to_string()),
                    bouts: known.last.get(&person.id.to_string()).copied(),
                })
                .collect();
            if runners.is_empty() {
                return Err(Fault::value("here", "nobody", "at least one runner"));
            }
            let plan = deal(&test, &runners, lanes, assessors);
            writer.add_paper(id, PaperKind::Plan, None, &write_paper(&plan))?;
            Ok(())
        })
        .await?;
    Ok(Redirect::to(&format!("/plan/{id}")).into_response())
}

fn not_opened(known: &Known) -> Result<(), Fault> {
    if known.opened == 0 {
        return Ok(());
    }
    Err(Fault::conflict(
        "plan",
        "waves that are open already",
        "a day whose waves are not open",
        "let latecomers join on the line screen, or make another day",
    ))
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

/// `POST /plan/{day}/open`.
pub async fn open(
    State(app): State<App>,
    Path(day): Path<String>,
    form: Guarded,
) -> Result<Response, Refused> {
    form.who.must_lead()?;
    let id = day_id(&day)?;
    let known = app.keeper().with(move |writer| known(writer, id)).await?;
    not_opened(&known)?;
    let plan = known
        .plan
        .as_ref()
        .ok_or_else(|| Fault::missing("plan", "none dealt yet"))?;
    let test = known_test(&app, &plan.test)?;
    let names = names(&known.people);
    let mut openings = Vec::new();
    for wave in &plan.waves {
        let opened =
            opening(wave, test, app.catalogue(), &names, &known.codes).map_err(|fault| {
                Fault::conflict(
                    "plan",
                    &fault.to_string(),
                    "a wave that can be opened",
                    "change the plan",
                )
            })?;
        let event = Event {
            v: VERSION,
            id: app.clock().new_id(),
            device: DeviceId("server".to_owned()),
            seq: 1,
            order: 1,
            at_ms: app.now_ms(),
            cue_ms: None,
            cue_pm_ms: None,
            role: Role::Lead,
            by: (!form.who.name.is_empty()).then(|| form.who.name.clone()),
            what: What::Opened {
                plan: Box::new(opened),
            },
        };
        event
            .check()
            .map_err(|fault| Fault::value("plan", &fault.to_string(), "a wave that fits"))?;
        openings.push((wave.number, wave.name.clone(), stored_form(&event)));
    }
    app.keeper()
        .with(move |writer| {
            for (number, name, event) in openings {
                let wave = writer.add_wave(id, number, &name)?;
                writer.append_events(&[(wave, event)])?;
            }
            Ok(())
        })
        .await?;
    Ok(Redirect::to("/").into_response())
}
