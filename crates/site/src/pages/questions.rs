//! Questions about the squad of a day: a cut, the lowest, rows, effort, assessors. For the lead.
//! Nothing is recorded and nothing is decided; every answer shows its basis and what would settle it.

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::Choices;
use plimsoll_desk::squad::{
    Answers, Ask, Cut, Lowest, MOST_TRIALS, Section, SquadError, answers, figure,
};
use plimsoll_interpret::Size;
use plimsoll_report::Cautions;
use plimsoll_report::format::{amount, number, percent};
use serde::Deserialize;

use super::frame::{Refused, page as framed};
use super::plan::day_id;
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;

/// What the form asks for, as written.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    cut: String,
    best_of: String,
    lowest: String,
    error: String,
}

/// `GET /questions/{day}`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Path(day): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let id = day_id(&day)?;
    let ask = Ask {
        cut: Some(asked.cut.trim().to_owned()).filter(|cut| !cut.is_empty()),
        best_of: whole("trials that count", &asked.best_of)?,
        lowest: whole("number of the lowest", &asked.lowest)?.map(|n| n as usize),
    };
    let choices = Choices {
        error: error(&asked.error)?,
        ..Choices::default()
    };
    let asking = app.clone();
    let found = app
        .keeper()
        .with(move |writer| {
            let day = writer
                .day(id)?
                .ok_or_else(|| Fault::missing("test day", &id.to_string()))?;
            answers(
                writer,
                asking.catalogue(),
                asking.facts(),
                &day,
                &choices,
                &ask,
            )
            .map_err(refused)
        })
        .await?;
    let body = html! {
        h1 { "Questions about the squad" }
        p { (found.date) ", " (found.test) ": " (found.people) " people with a result. "
            a href=(format!("/results/{day}")) { "Results of the day" } }
        p { "Nothing here is recorded, and nothing is decided about anyone." }
        (form(&day, &asked))
        @if let Some(cut) = found.cut_section() {
            (section(&cut, &found.cut.as_ref().and_then(|p| p.answer.as_ref()).map_or_else(|| html! {}, cut_shown)))
        }
        (section(&found.lowest_section(), &found.lowest.answer.as_ref().map_or_else(|| html! {}, |l| low(l, &found))))
        @for other in found.other_sections() { (section(&other, &html! {})) }
        div.caution { p { strong { "Caution. " } "Another test is a maximal test; the easier form is open to anyone. "
            (Cautions::default().short)
            " Do not select, exclude, diagnose or clear anyone on a single result." } }
    };
    Ok(framed(&who, "Questions about the squad", "", &body).into_response())
}

fn whole(what: &str, written: &str) -> Result<Option<u32>, Fault> {
    let written = written.trim();
    if written.is_empty() {
        return Ok(None);
    }
    let wrong = |_| Fault::value(what, written, "a whole number, or nothing");
    written.parse().map(Some).map_err(wrong)
}

/// Reads a typical error in percent.
fn error(written: &str) -> Result<Option<Size>, Fault> {
    let written = written.trim();
    if written.is_empty() {
        return Ok(None);
    }
    let text = written.strip_suffix('%').unwrap_or(written).trim();
    text.parse::<f64>()
        .ok()
        .filter(|cv| *cv > 0.0 && *cv <= 100.0)
        .map(|cv| Some(Size::Percent(cv)))
        .ok_or_else(|| {
            Fault::value(
                "typical error",
                written,
                "percent above 0, up to 100, such as 4.9",
            )
        })
}

fn refused(fault: SquadError) -> Fault {
    let found = fault.to_string();
    match fault {
        SquadError::Archive(fault) => fault.into(),
        SquadError::Cut(wrong) => Fault::value("cut", &wrong.found, &wrong.allowed),
        SquadError::BestOf { found } => Fault::value(
            "trials that count",
            &found.to_string(),
            &format!("1 to {MOST_TRIALS}"),
        ),
        SquadError::Lowest { found, of } => Fault::value(
            "number of the lowest",
            &found.to_string(),
            &format!("1 to {of}, the people with a result"),
        ),
        SquadError::Test { .. } | SquadError::Empty { .. } => Fault::conflict(
            "questions about the squad",
            &found,
            "a day with a test and results",
            "close a wave or import the sheet first",
        ),
    }
}

fn form(day: &str, asked: &Asked) -> Markup {
    html! {
        form method="get" action=(format!("/questions/{day}")) {
            label.field { "A cut, as a label or metres"
                input type="text" name="cut" value=(asked.cut) placeholder="16.3 or 1200m" maxlength="20"; }
            label.field { "Best of how many trials"
                input type="number" name="best_of" min="1" max=(MOST_TRIALS) value=(asked.best_of) placeholder="2"; }
            label.field { "How many of the lowest"
                input type="number" name="lowest" min="1" max="2000" value=(asked.lowest) placeholder="a quarter"; }
            label.field { "Typical error of one result, percent"
                input type="text" inputmode="decimal" name="error" value=(asked.error) placeholder="from studies" maxlength="10"; }
            p { button.button type="submit" { "Ask" } }
        }
    }
}

fn section(section: &Section<'_>, more: &Markup) -> Markup {
    html! {
        section.ruled {
            h2 { (section.title) }
            @if section.answered {
                ul { @for sentence in section.says { li { (sentence) } } }
            } @else {
                @for sentence in section.says { p { strong { "Nothing can be said. " } (sentence) } }
            }
            (more)
            p { strong { "What would settle it. " } (section.settle) }
            p.hint { strong { "Basis. " } (section.basis) }
        }
    }
}

fn cut_shown(cut: &Cut) -> Markup {
    let drawn = figure(cut);
    html! {
        // Made by our own figure; every text in it is escaped there.
        @if let Some(drawn) = &drawn {
            div.wide tabindex="0" role="group" aria-label="Figure" { figure { (PreEscaped(&drawn.svg)) } }
        }
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Name" } th scope="col" class="number" { "Chance of the level" }
                th scope="col" { "Result" } th scope="col" { "At the cut" } } }
            tbody { @for p in &cut.people { tr {
                td { (p.name) }
                td.number { @match p.p_above { Some(p) => (percent(p)), None => "not known" } }
                td { @if p.bound { "at least " } (amount(p.result, cut.unit))
                    @if let Some(label) = &p.label { " (" (label) ")" } }
                td { @match (p.passes, p.bound) {
                    (true, _) => "reaches it", (false, true) => "cut short", (false, false) => "below" } }
            } } }
        } }
    }
}

fn low(lowest: &Lowest, found: &Answers) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.table {
            thead { tr { th scope="col" { "Name" } th scope="col" class="number" { "Result" }
                th scope="col" { "Label" } th scope="col" class="number" { "Next time, no change" }
                th scope="col" { "90 %" } } }
            tbody { @for p in &lowest.people { tr {
                td { (p.name) }
                td.number { (amount(p.result, found.unit)) }
                td { (p.label.as_deref().unwrap_or("")) }
                td.number { (amount(p.expected_next, found.unit)) }
                td { (number(p.low90, 0)) " to " (amount(p.high90, found.unit)) }
            } } }
        } }
    }
}
