//! `plimsoll level`: a person's true level on every date, from all results of one test.

use jiff::civil::Date;
use plimsoll_desk::Choices;
use plimsoll_desk::level::{PersonLevel, SquadLevels, members};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_report::{LevelMark, figure_level};
use serde_json::{Value, json};

use super::reading;
use crate::cli::Level;
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print::{self, Align, number, short};
use crate::world;

/// Answers for a person of the archive.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Level,
) -> Result<Found, Failure> {
    let judged = reading::judging(&args.judging)?;
    let archive = session.read()?;
    let person = archive.person_named(&args.person)?;
    let name = &person.facts.called_name;
    let history = archive.history(person.id)?;
    let latest = history
        .iter()
        .rev()
        .map(|h| h.result.facts.outcome.ladder.clone())
        .find(|id| args.test.as_ref().is_none_or(|t| t == id));
    let id = latest.ok_or_else(|| {
        Failure::new(format!("{name} has no result to work a level out of"))
            .hint("`plimsoll results` lists what the archive has")
    })?;
    let test = super::known_test(catalogue, &id)?;
    let on = args.on.as_deref().map(reading::date).transpose()?;
    let choices = Choices {
        error: judged.error,
        level: judged.level,
        from_memory: args.judging.from_memory,
        ..Choices::default()
    };
    let all = members(&archive, facts, test, &choices, on)?;
    let squad = SquadLevels::of(test, facts.scale(test.id()), &all).map_err(Failure::new)?;
    let squad = match args.with.as_deref() {
        None => squad,
        Some(second) => {
            let second = super::known_test(catalogue, second)?;
            if second.id() == test.id() {
                return Err(Failure::new(format!("--with is `{}` itself", test.id()))
                    .hint("name another test that these people ran"));
            }
            let all = members(&archive, facts, second, &choices, on)?;
            squad
                .with(second, facts.scale(second.id()), &all)
                .map_err(Failure::new)?
        }
    };
    let until = on.unwrap_or_else(world::today);
    let gain = args.gain.unwrap_or(1.0);
    if !(gain > 0.0 && gain <= 20.0) {
        return Err(
            Failure::new(format!("--gain is {gain}")).hint("a share above 0, up to 20 % a week")
        );
    }
    let level = squad
        .person(&person.id.to_string(), until, gain / 100.0)
        .map_err(|why| Failure::new(format!("{name}: {why}")))?;
    let level = match args.since.as_deref().map(reading::date).transpose()? {
        None => level,
        Some(since) => PersonLevel {
            change: Some(
                squad
                    .change(&person.id.to_string(), since, until)
                    .map_err(|why| Failure::new(format!("{name}: {why}")))?,
            ),
            ..level
        },
    };
    let unit = squad.unit().as_str();
    if let Some(out) = &args.out {
        let figure = figure_level(name, unit, &marks(&level))
            .ok_or_else(|| Failure::new("nothing to draw"))?;
        places::write_whole(out, figure.svg.as_bytes())?;
    }
    if session.json {
        print::json(&document(&level, name, test.id(), unit, &squad))?;
    } else {
        words(&level, name, test.id(), unit, &squad, until)?;
    }
    Ok(Found::Nothing)
}

/// Returns the points of a level as a figure draws them.
fn marks(level: &PersonLevel) -> Vec<LevelMark> {
    let mark = |p: &plimsoll_desk::level::LevelPoint| LevelMark {
        date: p.date,
        level: p.level,
        lower: p.lower,
        upper: p.upper,
        result: p.result,
        bound: p.bound,
    };
    level.points.iter().map(mark).collect()
}

fn document(level: &PersonLevel, name: &str, test: &str, unit: &str, squad: &SquadLevels) -> Value {
    let of = |get: &dyn Fn(&plimsoll_desk::level::LevelPoint) -> Value| -> Vec<Value> {
        level.points.iter().map(get).collect()
    };
    json!({
        "person": name,
        "test": test,
        "unit": unit,
        "dates": of(&|p| json!(p.date.to_string())),
        "level": of(&|p| json!(number(p.level))),
        "lower": of(&|p| json!(number(p.lower))),
        "upper": of(&|p| json!(number(p.upper))),
        "results": of(&|p| json!(p.result.map(number))),
        "p_changed_since": of(&|p| json!({"up": p.p_up, "trivial": p.p_trivial, "down": p.p_down})),
        "change": level.change,
        "next": level.next,
        "conditions": level.conditions,
        "days_told": squad.told(level),
        "linked": level.linked,
        "worthwhile_percent": 100.0 * squad.worthwhile(),
        "basis": squad.basis(),
    })
}

fn words(
    level: &PersonLevel,
    name: &str,
    test: &str,
    unit: &str,
    squad: &SquadLevels,
    until: Date,
) -> Result<(), Failure> {
    let head = [
        ("date", Align::Left),
        ("result", Align::Right),
        ("level", Align::Right),
        ("90 % from", Align::Right),
        ("to", Align::Right),
        ("higher since", Align::Right),
        ("lower since", Align::Right),
    ];
    let percent = |p: f64| format!("{:.0} %", 100.0 * p);
    let last = level
        .points
        .iter()
        .rfind(|p| p.result.is_some())
        .map(|p| p.date);
    let rows: Vec<Vec<String>> = level
        .points
        .iter()
        .map(|p| {
            let result = p.result.map_or_else(String::new, |value| {
                format!("{}{}", if p.bound { "≥ " } else { "" }, short(value, 1))
            });
            let since = |chance: f64| {
                if last.is_some_and(|last| p.date < last) {
                    percent(chance)
                } else {
                    String::new()
                }
            };
            vec![
                p.date.to_string(),
                result,
                short(p.level, 0),
                short(p.lower, 0),
                short(p.upper, 0),
                since(p.p_up),
                since(p.p_down),
            ]
        })
        .collect();
    print::text(format!(
        "{name}, {test}: the true level in {unit}, from all results"
    ))?;
    print::text(print::table(&head, &rows))?;
    if let Some(change) = &level.change {
        print::text(format!(
            "since {}: {} ({} to {} {unit}, 90 %); a change of {:.1} % matters",
            change.since,
            change.verdict,
            short(change.low90, 0),
            short(change.high90, 0),
            100.0 * squad.worthwhile(),
        ))?;
    }
    let next = &level.next;
    print::text(format!(
        "a test on {until} would give {} to {} {unit} (90 %)",
        short(next.low90, 0),
        short(next.high90, 0)
    ))?;
    let gain = 100.0 * next.weekly_gain;
    print::text(match next.weeks_to_see {
        Some(weeks) => format!(
            "a gain of {gain} % a week would be seen after {} weeks, tested every four (probability 0.80)",
            short(weeks, 0)
        ),
        None => format!("a gain of {gain} % a week would not be seen for sure within two years"),
    })?;
    for result in &level.linked {
        print::text(format!(
            "{}: {} gave {}{} {}",
            result.date,
            result.test,
            if result.bound { "at least " } else { "" },
            short(result.value, 1),
            result.unit.as_str(),
        ))?;
    }
    let told = squad.told(level);
    if !told.is_empty() {
        print::text(
            "what the days did to these results; no result is changed, the level hears it with this in mind:",
        )?;
    }
    for words in told {
        print::text(print::hanging(&format!("  {words}"), 96))?;
    }
    print::text(print::hanging(&format!("how: {}", squad.basis()), 96))?;
    Ok(())
}
