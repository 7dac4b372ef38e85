//! Is a change real? Two values typed in: chances, the picture, growth where ages are given.
//! Nothing is changed here, and what is typed is not kept.

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use plimsoll_desk::Choices;
use plimsoll_desk::change::{Growth, ValuesAnswer, ValuesAsk, of_values};
use plimsoll_interpret::{InterpretError, Sex, Size};
use plimsoll_report::format::{decimals, number, percent, signed_amount, signed_range};
use plimsoll_report::{Cautions, Figure};
use serde::Deserialize;

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;
use crate::fault::Fault;
use crate::waves::known_test;

/// What the form asks.
#[derive(Debug, Default, Deserialize)]
pub struct Asked {
    test: Option<String>,
    from: Option<String>,
    to: Option<String>,
    error: Option<String>,
    swc: Option<String>,
    sex: Option<String>,
    age: Option<String>,
    age_from: Option<String>,
}

/// `GET /change`.
pub async fn page(
    State(app): State<App>,
    who: Who,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    who.must_lead()?;
    let answer = question(&app, &asked)?.map(|ask| of_values(app.facts(), ask));
    let body = html! {
        h1 { "Is a change real?" }
        p { "Two results of one person in one test: how likely a true rise, a true fall, or a change too small to "
            "matter is, given the error of the test." }
        @match &answer {
            None => {},
            Some(Err(why)) => (refused(why)),
            Some(Ok(answer)) => (values(&app, answer)),
        }
        (form(&app, &asked))
        (caution())
    };
    Ok(framed(&who, "Is a change real?", "", &body).into_response())
}

pub(super) fn test_name(app: &App, id: &str) -> String {
    app.catalogue()
        .get(id)
        .map_or_else(|| id.to_owned(), |test| test.name().to_owned())
}

pub(super) fn caution() -> Markup {
    html! { div.caution { p { strong { "Caution. " } (Cautions::default().short)
    " Do not select, exclude, diagnose or clear anyone on a single result." } } }
}

/// What was typed, once test and both values are there.
fn question(app: &App, asked: &Asked) -> Result<Option<ValuesAsk>, Fault> {
    let said = |text: &Option<String>| {
        let text = text.as_deref().unwrap_or("").trim();
        (!text.is_empty()).then(|| text.replace(',', "."))
    };
    let number = |what: &str, text: &Option<String>| {
        said(text)
            .map(|text| {
                text.parse::<f64>()
                    .ok()
                    .filter(|value| value.is_finite())
                    .ok_or_else(|| Fault::value(what, &text, "a number, such as 1480 or 14.5"))
            })
            .transpose()
    };
    let (Some(test), Some(from), Some(to)) = (
        said(&asked.test),
        number("first result", &asked.from)?,
        number("second result", &asked.to)?,
    ) else {
        return Ok(None);
    };
    known_test(app, &test)?;
    let sex = match asked.sex.as_deref().unwrap_or("") {
        "" => None,
        "F" => Some(Sex::Female),
        "M" => Some(Sex::Male),
        other => return Err(Fault::value("sex", other, "F, M or nothing")),
    };
    let size =
        |what: &str, text: &Option<String>| said(text).map(|text| size(what, &text)).transpose();
    Ok(Some(ValuesAsk {
        test,
        from,
        to,
        sex,
        age: number("age", &asked.age)?,
        age_from: number("age at the first test", &asked.age_from)?,
        choices: Choices {
            error: size("typical error", &asked.error)?,
            worthwhile: size("smallest change that matters", &asked.swc)?,
            ..Choices::default()
        },
    }))
}

/// A size in the unit of the test, or in percent.
fn size(what: &str, text: &str) -> Result<Size, Fault> {
    let bad = || {
        Fault::value(
            what,
            text,
            "a number above 0 in the unit of the test, or a percentage such as 4.9%",
        )
    };
    let (digits, in_percent) = match text.strip_suffix('%') {
        Some(digits) => (digits.trim(), true),
        None => (text, false),
    };
    let value: f64 = digits.parse().map_err(|_| bad())?;
    if !value.is_finite() || value <= 0.0 {
        return Err(bad());
    }
    Ok(if in_percent {
        Size::Percent(value)
    } else {
        Size::InUnit(value)
    })
}

fn refused(why: &InterpretError) -> Markup {
    html! { p.ruled { strong { "No answer. " } (why.to_string()) "." } }
}

fn form(app: &App, asked: &Asked) -> Markup {
    let text = |value: &Option<String>| value.clone().unwrap_or_default();
    let chosen = asked.test.as_deref().unwrap_or("");
    html! {
        section.ruled {
            h2 { "Two results" }
            form method="get" action="/change" {
                label.field { "Test" select name="test" required {
                    @for test in app.catalogue().iter() {
                        option value=(test.id()) selected[test.id() == chosen] { (test.name())
                            @if let Some(scale) = app.facts().scale(test.id()) { ", in " (scale.unit.as_str()) } }
                    }
                } }
                label.field { "First result, in the unit of the test"
                    input name="from" inputmode="decimal" required maxlength="20" value=(text(&asked.from)); }
                label.field { "Second result"
                    input name="to" inputmode="decimal" required maxlength="20" value=(text(&asked.to)); }
                details open[asked.error.is_some() || asked.sex.is_some()] {
                    summary { "Error, worth, sex and ages" }
                    label.field { "Typical error, if you know your own: a number, or a percentage such as 4.9%"
                        input name="error" maxlength="20" value=(text(&asked.error)); }
                    label.field { "Smallest change that matters to you: a number, or a percentage"
                        input name="swc" maxlength="20" value=(text(&asked.swc)); }
                    label.field { "Sex" select name="sex" {
                        option value="" { "not given" }
                        option value="F" selected[asked.sex.as_deref() == Some("F")] { "female" }
                        option value="M" selected[asked.sex.as_deref() == Some("M")] { "male" }
                    } }
                    label.field { "Age at the first test, years"
                        input name="age_from" inputmode="decimal" maxlength="10" value=(text(&asked.age_from)); }
                    label.field { "Age at the second test, years"
                        input name="age" inputmode="decimal" maxlength="10" value=(text(&asked.age)); }
                }
                p { button.button type="submit" { "Answer" } }
            }
        }
    }
}

pub(super) fn picture(figure: Option<&Figure>) -> Markup {
    html! {
        // Made by our own figure; every text in it is escaped there.
        @if let Some(figure) = figure {
            div.wide tabindex="0" role="group" aria-label="Figure" { figure { (PreEscaped(&figure.svg)) } }
        }
    }
}

fn values(app: &App, answer: &ValuesAnswer) -> Markup {
    let (a, unit) = (&answer.quick, answer.unit());
    html! {
        section.ruled {
            h2 { (test_name(app, &answer.ask.test)) ": " (signed_amount(a.difference, unit))
                " (" (signed_amount(a.percent, "%")) ")" }
            p { "In short: " strong { (a.verdict) } "." }
            @if let (Some(up), Some(trivial), Some(down)) = (a.p_up, a.p_trivial, a.p_down) {
                p { "Chance of a rise that matters " (percent(up)) ", of a change too small to matter "
                    (percent(trivial)) ", of a fall that matters " (percent(down)) ". "
                    @if let Some((low, high)) = a.interval_90 {
                        "The true change lies within " (signed_range(Some(low), Some(high), unit)) " (90 %). "
                    }
                    @if let Some(d) = a.detectable {
                        "A difference of " (number(d, decimals(unit))) " " (unit) " would rule chance out (95 %)."
                    } }
            }
            (picture(answer.figure().as_ref()))
            (growth(answer.growth.as_ref()))
            p.hint { "How: " (a.basis) "." }
        }
    }
}

/// Growth of the young; nothing for others.
pub(super) fn growth(growth: Option<&Growth>) -> Markup {
    html! {
        @match growth {
            None => {},
            Some(Err(why)) => p.hint { "Growth: " (why) "." },
            Some(Ok(found)) => {
                p { strong { "Growth. " } (found.line()) }
                @if found.since.len() > 1 {
                    div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                        thead { tr { th scope="col" { "Since" } th scope="col" class="number" { "Seen" }
                            th scope="col" class="number" { "By growth" } th scope="col" class="number" { "Left" }
                            th scope="col" { "90 %" } th scope="col" { "In words" } } }
                        tbody { @for [since, seen, by, left, range, words] in found.rows() { tr {
                            td.kept { (since) } td.number { (seen) } td.number { (by) } td.number { (left) }
                            td { (range) } td { (words) }
                        } } }
                    } }
                }
                p.hint { (found.basis()) "." }
            }
        }
    }
}
