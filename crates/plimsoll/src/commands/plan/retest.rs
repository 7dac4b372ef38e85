//! `plimsoll plan --retest`: when to test again, and how many trials or people a precision takes.

use plimsoll_desk::planning::{RetestAsked, noise, precision, retest_answer};
use plimsoll_interpret::{Catalogue as Facts, Person, Sex, Size};
use plimsoll_ladder::Catalogue;
use plimsoll_report::Cautions;
use serde_json::json;

use super::{cautions, choices, known_test};
use crate::cli::Plan;
use crate::commands::reading;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print;

/// Prints when to test again.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Plan,
) -> Result<Found, Failure> {
    let test = known_test(catalogue, args.test.as_deref().unwrap_or_default())?;
    if !(args.chance > 0.0 && args.chance < 1.0) {
        return Err(Failure::new(format!("--chance is {}", args.chance))
            .hint("allowed is a fraction between 0 and 1, such as 0.8"));
    }
    let gain = args.weekly_gain.as_deref();
    let choices = choices(args)?;
    let person = Person {
        sex: args.sex.as_deref().map(|s| {
            if s.eq_ignore_ascii_case("F") {
                Sex::Female
            } else {
                Sex::Male
            }
        }),
        age_years: args.age,
        ..Person::default()
    };
    let asked = RetestAsked {
        test,
        person: person.clone(),
        from: args.from,
        weekly_gain: gain
            .map(|g| reading::size("--weekly-gain", g))
            .transpose()?,
        trials: args.trials,
        chance: args.chance,
    };
    let answer = retest_answer(facts, &asked, &choices)?;
    let mut precise = None;
    if let Some(wanted) = args.precision {
        let noise = noise(facts, test, &person, None, &choices)?;
        let (error, unit) = match noise.size {
            Some(Size::Percent(p)) => (p, "%"),
            Some(Size::InUnit(e)) => (e, noise.unit),
            None => return Err(Failure::new(noise.basis).hint("set one with --typical-error")),
        };
        precise = Some(precision(error, wanted, unit)?);
    }
    if session.json {
        let mut document = serde_json::to_value(&answer).map_err(Failure::new)?;
        document["precision"] = json!(precise);
        document["cautions"] = json!(Cautions::default().short);
        print::json(&document)?;
        return Ok(Found::any(answer.detectable.is_none()));
    }
    let mut out = format!("{} ({})\n", test.name(), test.id());
    let precise_words = precise.iter().flat_map(|p| &p.words);
    for sentence in answer.words.iter().chain(precise_words) {
        out.push_str(&print::hanging(&format!("· {sentence}"), 88));
        out.push('\n');
    }
    if !answer.chances.is_empty() {
        let each: Vec<String> = answer
            .chances
            .iter()
            .map(|(weeks, p)| format!("{weeks:.0} weeks {:.0} %", 100.0 * p))
            .collect();
        out.push_str(&format!(
            "· Chance that the gain is seen after {}.\n",
            each.join(", ")
        ));
    }
    out.push_str(
        "· Copy the first test: hour, surface, shoes, warm-up, caffeine, two days of light load.\n",
    );
    out.push_str(&print::hanging(&format!("· How: {}.", answer.basis), 88));
    out.push('\n');
    if test.definition().maximal {
        out.push('\n');
        out.push_str(&cautions(catalogue, Some(test)));
    }
    print::text(out)?;
    Ok(Found::any(answer.detectable.is_none()))
}
