//! The plan as tables, with what is expected: when whose runners may stop, how long one runs alone.
//! Must hold for a plan changed by hand, and say of whom nothing is known.

use std::collections::BTreeMap;

use maud::{Markup, html};
use plimsoll_desk::planning::{AssessorLook, Predictions, WaveLook, look};
use plimsoll_desk::test_day::Plan;

use super::Known;

/// Each wave with its assessors, lanes and what is expected of its runners.
pub(super) fn plan_table(
    known: &Known,
    plan: &Plan,
    names: &BTreeMap<String, String>,
    expected: Option<&Predictions>,
) -> Markup {
    let name = |person: &str| {
        names
            .get(person)
            .cloned()
            .unwrap_or_else(|| "unknown".to_owned())
    };
    let looks = expected.map(|e| look(plan, e)).unwrap_or_default();
    html! {
        @for wave in &plan.waves {
            @let seen = looks.iter().find(|look| look.number == wave.number);
            section.ruled {
                h2 { (wave.name) @if let Some(start) = &wave.start { " · " (start) } }
                @if let Some(seen) = seen { (told(seen)) }
                @for assessor in &wave.assessors {
                    h3 { (assessor.name) }
                    div.wide tabindex="0" role="group" aria-label="Table" { table.table {
                        thead { tr {
                            th scope="col" class="number" { "Lane" } th scope="col" class="number" { "Bib" }
                            th scope="col" { "Name" } th scope="col" { "May do today" }
                            th scope="col" class="number" { "Bouts last time" }
                            th scope="col" class="number" { "Bouts expected" }
                        } }
                        tbody {
                            @for lane in &assessor.lanes {
                                @if let Some(runner) = wave.runners.iter().find(|r| r.lane == *lane) {
                                    tr {
                                        td.number { (lane) }
                                        td.number { (runner.bib.as_deref().unwrap_or("")) }
                                        td { (name(&runner.person)) }
                                        td { (known.code(&runner.person).in_words()) }
                                        td.number { @if let Some((n, bound)) = known.last.get(&runner.person) { @if *bound { "at least " } (n) } }
                                        td.number { (bouts(expected, &runner.person)) }
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

/// The bouts expected of a person, with the interval that holds the next result with 90 %.
fn bouts(expected: Option<&Predictions>, person: &str) -> String {
    expected
        .and_then(|e| e.bouts_of(person))
        .map_or("not known".to_owned(), |b| {
            format!("{} ({} to {})", b.middle, b.low, b.high)
        })
}

/// What the plan means for a wave.
fn told(wave: &WaveLook) -> Markup {
    let alone = match (wave.alone * 10.0).round() / 10.0 {
        few if few < 0.1 => {
            "Hardly a bout is expected with one runner left on the course.".to_owned()
        }
        some => format!("About {some} bouts are expected with one runner left on the course."),
    };
    html! {
        ul.plain {
            @for assessor in &wave.assessors { li { strong { (assessor.name) } ": " (stops(assessor)) "." } }
            li { (alone) }
        }
    }
}

fn stops(assessor: &AssessorLook) -> String {
    let bouts: Vec<String> = assessor.stops.iter().map(u32::to_string).collect();
    let mut words = match bouts.as_slice() {
        [] => "nothing is known of when runners will stop".to_owned(),
        [one] => format!("a stop is expected after about {one} bouts"),
        [first @ .., last] => {
            format!(
                "stops are expected after about {} and {last} bouts",
                first.join(", ")
            )
        }
    };
    if assessor.unknown > 0 && !bouts.is_empty() {
        let (n, runners) = match assessor.unknown {
            1 => ("one".to_owned(), "runner"),
            n => (n.to_string(), "runners"),
        };
        words.push_str(&format!("; of {n} {runners} nothing is known"));
    }
    if assessor.stops.len() + assessor.unknown > 1 {
        words.push_str(&format!(
            "; expected pairs of stops within a bout of each other: {:.1}",
            assessor.together
        ));
    }
    words
}

/// What a deal takes into account, in sentences.
pub(super) fn basis(expected: &Result<Predictions, String>) -> Markup {
    html! {
        @match expected {
            Ok(known) => {
                p { "Expected bouts: " (known.basis) ". The range holds the next result nine times in ten. "
                    "Who may stop in the same or the next bout is best watched by different people; who is the last "
                    "one running has only a signal for company. A newcomer is dealt as one "
                    "of the middle. Derived: docs/methods/planning.md." }
            }
            Err(why) => { p { "Nothing is expected of anybody: " (why) ". Runners are dealt by their last results alone." } }
        }
    }
}
