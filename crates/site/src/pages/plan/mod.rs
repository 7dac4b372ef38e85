//! The plan of a day: who runs in which lane, who watches; opening the waves.
//! Must show no reason of a code, and must write a plan only when it holds together.

mod change;
mod dealing;
mod open;
mod table;

use std::collections::{BTreeMap, BTreeSet};

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Response};
use maud::html;
use plimsoll_archive::{DayId, PaperKind, Person, ResultFilter, TestDay, Writer};
use plimsoll_desk::test_day::{Code, Participation, Plan, read_paper};

use super::frame::{Refused, page as framed, seal};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

pub use change::change;
pub use dealing::deal_again;
pub use open::open;

use change::edit;
use dealing::{expected, proposal};
use table::{basis, plan_table};

/// What the page needs to know.
struct Known {
    day: TestDay,
    people: Vec<Person>,
    plan: Option<Plan>,
    codes: BTreeMap<String, Code>,
    opened: usize,
    /// Bouts of the last result before the day, and whether it is known only as "at least".
    last: BTreeMap<String, (u32, bool)>,
}

impl Known {
    fn code(&self, person: &str) -> Code {
        self.codes.get(person).copied().unwrap_or_default()
    }

    /// Returns the people of the plan; everybody before there is one.
    fn runners(&self) -> Vec<String> {
        match &self.plan {
            None => self.people.iter().map(|p| p.id.to_string()).collect(),
            Some(plan) => {
                let all = plan.waves.iter().flat_map(|w| &w.runners);
                all.map(|r| r.person.clone()).collect()
            }
        }
    }

    /// Returns whether a person is ticked as here: in the plan, or before one not out for today.
    fn ticked(&self, person: &str) -> bool {
        match &self.plan {
            None => self.code(person) != Code::NotToday,
            Some(plan) => plan
                .waves
                .iter()
                .any(|w| w.runners.iter().any(|r| r.person == person)),
        }
    }
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
    let before: BTreeSet<DayId> = writer
        .days()?
        .into_iter()
        .filter(|other| other.facts.date < day.facts.date)
        .map(|other| other.id)
        .collect();
    let mut last = BTreeMap::new();
    let earlier = writer.results(&filter)?.into_iter();
    for result in earlier.filter(|r| !r.withdrawn && before.contains(&r.day)) {
        if let ("bouts", bouts) = result.facts.outcome.amount.to_parts() {
            let bound = result.facts.outcome.is_lower_bound();
            last.insert(result.person.to_string(), (bouts, bound));
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
    let running = known.runners();
    let expected = expected(&app, &known, running).await?;
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
            (basis(&expected))
            (plan_table(&known, plan, &names, expected.as_ref().ok()))
            @if known.opened == 0 {
                form method="post" action=(format!("/plan/{id}/open")) {
                    (seal(&who))
                    p { button.button type="submit" { "Open the waves" } }
                    p.hint { "Names, lanes and rules are fixed then. Who comes late can still join." }
                }
                (edit(&who, id, plan, &names))
            } @else {
                p.note { strong { "Opened. " } @if known.opened == 1 { "One wave is" } @else { (known.opened) " waves are" }
                    " open or closed; the plan stays as it is." }
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
