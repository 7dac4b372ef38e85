//! `plimsoll plan --waves`: waves, lanes and assessors.

use std::collections::BTreeMap;

use plimsoll_desk::planning::{Dealt, Predictions, deal_with, predictions};
use plimsoll_desk::test_day::Expected;
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_report::Cautions;
use serde_json::json;

use super::{cautions, choices, known_test, roster};
use crate::cli::Plan;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, Align, number, short};

/// Prints waves, lanes and assessors.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Plan,
) -> Result<Found, Failure> {
    let test = known_test(catalogue, args.test.as_deref().unwrap_or_default())?;
    let roster = roster(session, catalogue, args)?;
    let known = predictions(catalogue, facts, test, &roster, &choices(args)?)?;
    let mut names = BTreeMap::new();
    let runners: Vec<Expected> = roster
        .athletes
        .iter()
        .map(|athlete| {
            let key = athlete.key().to_owned();
            names.insert(key.clone(), athlete.name.clone());
            Expected {
                bouts: bouts(&known, &key),
                person: key,
                bib: None,
            }
        })
        .collect();
    let of = |e: &Expected| known.runners.get(&e.person).copied();
    let dealt = deal_with(
        test.id(),
        &runners,
        &of,
        &known.rungs,
        args.lanes,
        args.assessors,
    )?;
    if session.json {
        let mut plan = serde_json::to_value(&dealt.plan).map_err(Failure::new)?;
        name_runners(&mut plan, &names, &known);
        print::json(&json!({
            "plan": plan,
            "together": number(dealt.together),
            "together_before": number(dealt.together_before),
            "alone": number(dealt.alone),
            "alone_before": number(dealt.alone_before),
            "basis": known.basis,
            "cautions": Cautions::default().short,
        }))?;
        return Ok(Found::Nothing);
    }
    print::text(words(&dealt, &names, &known))?;
    if test.definition().maximal {
        print::text(format!("\n{}", cautions(catalogue, Some(test))))?;
    }
    Ok(Found::Nothing)
}

/// The bouts expected of a runner.
fn bouts(known: &Predictions, key: &str) -> Option<u32> {
    let runner = known.runners.get(key)?;
    Some(known.rungs.bouts_at(runner.mean().exp()) as u32)
}

/// Puts names and expected bouts beside the ids of a plan.
fn name_runners(
    plan: &mut serde_json::Value,
    names: &BTreeMap<String, String>,
    known: &Predictions,
) {
    let waves = plan["waves"].as_array_mut().into_iter().flatten();
    for runner in waves.flat_map(|w| w["runners"].as_array_mut().into_iter().flatten()) {
        let key = runner["person"].as_str().unwrap_or_default().to_owned();
        runner["name"] = json!(names.get(&key));
        runner["expected_bouts"] = json!(bouts(known, &key));
    }
}

fn words(dealt: &Dealt, names: &BTreeMap<String, String>, known: &Predictions) -> String {
    let head = [
        ("assessor", Align::Left),
        ("lane", Align::Right),
        ("name", Align::Left),
        ("expected bouts", Align::Right),
    ];
    let mut out = String::new();
    for wave in &dealt.plan.waves {
        out.push_str(&format!("{}: {} runners\n", wave.name, wave.runners.len()));
        let mut rows = Vec::new();
        for assessor in &wave.assessors {
            for (runner, at) in wave
                .runners
                .iter()
                .filter(|r| assessor.lanes.contains(&r.lane))
                .zip(0..)
            {
                rows.push(vec![
                    if at == 0 {
                        assessor.name.clone()
                    } else {
                        String::new()
                    },
                    runner.lane.to_string(),
                    names.get(&runner.person).cloned().unwrap_or_default(),
                    bouts(known, &runner.person).map_or("not known".to_owned(), |b| b.to_string()),
                ]);
            }
        }
        out.push_str(&print::table(&head, &rows));
        out.push_str("\n\n");
    }
    let gained = format!(
        "Expected pairs of stops within a bout of each other on one assessor: {} ({} as first \
         dealt). Expected bouts with a single runner: {} ({} as first dealt).",
        short(dealt.together, 2),
        short(dealt.together_before, 2),
        short(dealt.alone, 1),
        short(dealt.alone_before, 1)
    );
    out.push_str(&print::wrapped(&gained, 88));
    out.push('\n');
    out.push_str(&print::wrapped(
        &format!(
            "How: {}. A proposal; change it as you see fit.",
            known.basis
        ),
        88,
    ));
    out
}
