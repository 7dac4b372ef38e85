//! `plimsoll plan --choose`: when a group would stop in each paced test.

use plimsoll_desk::planning::{Answer, Forecast, Group, PopulationAsked, Predicted, choose};
use plimsoll_interpret::{Catalogue as Facts, Sex, Size};
use plimsoll_ladder::Catalogue;
use plimsoll_report::{Cautions, STOP_STRIPS, StopStrip, figure_stops};
use serde_json::json;

use super::{cautions, choices, roster};
use crate::cli::Plan;
use crate::failure::{Failure, Found};
use crate::places::{Session, write_whole};
use crate::print::{self, short};

/// Prints the forecast of every paced test; findings when none can be predicted.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Plan,
) -> Result<Found, Failure> {
    let choices = choices(args)?;
    if matches!(choices.error, Some(Size::InUnit(_))) {
        return Err(
            Failure::new("--typical-error in the unit of one test cannot hold for all")
                .hint("give a percentage: --typical-error 6%"),
        );
    }
    let (group, who) = group(session, catalogue, args)?;
    let forecasts = choose(catalogue, facts, &group, &choices)?;
    let strips: Vec<StopStrip> = forecasts
        .iter()
        .filter_map(strip)
        .take(STOP_STRIPS)
        .collect();
    if let Some(path) = &args.figure {
        let figure = figure_stops(&strips).ok_or_else(|| {
            Failure::new("no test can be predicted, so there is nothing to draw")
                .hint("leave --figure out to read why")
        })?;
        write_whole(path, figure.svg.as_bytes())?;
    }
    if session.json {
        print::json(&json!({
            "group": who,
            "tests": forecasts,
            "cautions": Cautions::default().short,
        }))?;
    } else {
        print::text(words(&who, &forecasts, catalogue))?;
    }
    Ok(Found::any(strips.is_empty()))
}

fn group(
    session: &Session,
    catalogue: &Catalogue,
    args: &Plan,
) -> Result<(Group, String), Failure> {
    if let (Some(sex), Some(age)) = (&args.sex, args.age) {
        if !(0.0..=120.0).contains(&age) {
            return Err(Failure::new(format!("--age is {age}")).hint("allowed is 0 to 120 years"));
        }
        let female = sex.eq_ignore_ascii_case("F");
        let asked = PopulationAsked {
            sex: if female { Sex::Female } else { Sex::Male },
            age,
            standard: args.standard.clone(),
            runners: args.runners,
        };
        let who = format!(
            "{} of a population: {}, {} y{}",
            args.runners,
            if female { "female" } else { "male" },
            short(age, 1),
            args.standard
                .as_ref()
                .map_or(String::new(), |s| format!(", {s}"))
        );
        return Ok((Group::Population(asked), who));
    }
    let roster = roster(session, catalogue, args)?;
    let who = format!("{} runners: {}", roster.athletes.len(), roster.source);
    Ok((Group::Roster(roster), who))
}

/// Returns a forecast as a strip of the figure.
fn strip(forecast: &Forecast) -> Option<StopStrip> {
    let Answer::Predicted(p) = &forecast.answer else {
        return None;
    };
    Some(StopStrip {
        name: forecast.name.clone(),
        runners: p.runners,
        stops: p.stops.clone(),
        at_end: p.at_end,
        end_s: p.test_s,
        last_90_s: p.last_stop_90_s,
    })
}

fn words(who: &str, forecasts: &[Forecast], catalogue: &Catalogue) -> String {
    let mut out = format!("{who}\n");
    let mut unknown: Vec<(String, Vec<&str>)> = Vec::new();
    for forecast in forecasts {
        match &forecast.answer {
            Answer::Predicted(p) => out.push_str(&one(forecast, p)),
            Answer::CannotBePredicted { why } => {
                match unknown.iter_mut().find(|(known, _)| known == why) {
                    Some((_, tests)) => tests.push(&forecast.test),
                    None => unknown.push((why.clone(), vec![&forecast.test])),
                }
            }
        }
    }
    if !unknown.is_empty() {
        out.push_str("\nCannot be predicted for this roster:\n");
        for (why, tests) in &unknown {
            let line = format!("· {}: {why}", tests.join(", "));
            out.push_str(&print::hanging(&line, 88));
            out.push('\n');
        }
    }
    out.push('\n');
    out.push_str(&cautions(catalogue, None));
    out
}

fn one(forecast: &Forecast, p: &Predicted) -> String {
    let mut out = format!(
        "\n{} ({}), definition: {}, {}\n",
        forecast.name,
        forecast.test,
        forecast.definition,
        if forecast.maximal {
            "maximal"
        } else {
            "not maximal"
        }
    );
    let mut say = |line: String| {
        out.push_str(&print::hanging(&format!("  · {line}"), 88));
        out.push('\n');
    };
    for sentence in &p.words {
        say(sentence.clone());
    }
    for against in &p.against {
        say(format!("Against it: {against}."));
    }
    match (&forecast.detectable, &forecast.no_detectable) {
        (Some(d), _) => say(format!("Detects: {}.", d.words)),
        (None, Some(why)) => say(format!("Detects: not known; {why}.")),
        (None, None) => {}
    }
    if let Some(easier) = &forecast.easier {
        let cues = if forecast.easier_same_cues {
            "on the same cues"
        } else {
            "on cues of its own"
        };
        say(format!("Easier version: {easier}, {cues}."));
    } else if forecast.maximal {
        say("Easier version: none is defined.".to_owned());
    }
    say(format!("How: {}.", p.basis));
    out
}
