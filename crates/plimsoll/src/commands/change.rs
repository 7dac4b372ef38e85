//! `plimsoll change`: is a difference real?

use plimsoll_desk::history::entries;
use plimsoll_desk::{Choices, Question, meaning};
use plimsoll_interpret::change::{
    ChangeContext, Pairwise, QuickChange, QuickRequest, quick_change,
};
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_interpret::{Catalogue as Facts, Person};
use plimsoll_ladder::Catalogue;
use serde_json::{Value, json};

use super::reading::{self, Judged};
use crate::cli::Change;
use crate::failure::{Failure, Found};
use crate::places::Session;
use crate::print::{self, number, short};

/// Answers for two values, or for a person of the archive.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Change,
) -> Result<Found, Failure> {
    let judged = reading::judging(&args.judging)?;
    if let Some(person) = &args.person {
        return of_person(session, catalogue, facts, args, judged, person);
    }
    let (Some(id), Some(from), Some(to)) = (args.test.as_deref(), args.from, args.to) else {
        return Err(
            Failure::new("a change needs --test, --from and --to, or --person")
                .hint("see `plimsoll change --help`"),
        );
    };
    super::known_test(catalogue, id)?;
    let unknown = Person::default();
    let context = ChangeContext {
        level: judged.level,
        error: judged.error,
        worthwhile: judged.worthwhile,
        from_memory: args.judging.from_memory,
        ..ChangeContext::new(id, &unknown)
    };
    let answer = quick_change(facts, &QuickRequest { context, from, to })
        .map_err(|e| Failure::new(e).hint("--from and --to are results in the unit of the test"))?;
    if session.json {
        print::json(&serde_json::to_value(&answer).map_err(Failure::new)?)?;
    } else {
        print::text(words(&answer))?;
    }
    Ok(Found::Nothing)
}

fn words(a: &QuickChange) -> String {
    let unit = a.unit.unwrap_or("");
    let mut out = format!(
        "{}{} {unit} ({} %): {}",
        if a.difference > 0.0 { "+" } else { "" },
        short(a.difference, 2),
        short(a.percent, 1),
        a.verdict
    );
    if let (Some(up), Some(trivial), Some(down)) = (a.p_up, a.p_trivial, a.p_down) {
        out.push_str(&format!(
            "\nchance of a rise worth while {up:.2}, of none {trivial:.2}, of a fall {down:.2}"
        ));
    }
    if let Some((low, high)) = a.interval_90 {
        out.push_str(&format!(
            "\nthe true change lies between {} and {} {unit} (90 %)",
            short(low, 1),
            short(high, 1)
        ));
    }
    if let Some(d) = a.detectable {
        out.push_str(&format!(
            "\na change of {} {unit} would rule chance out (95 %)",
            short(d, 1)
        ));
    }
    out.push_str(&format!("\nhow: {}", a.basis));
    out
}

fn of_person(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Change,
    judged: Judged,
    person: &str,
) -> Result<Found, Failure> {
    let archive = session.read()?;
    let person = archive.person_named(person)?;
    let history = archive.history(person.id)?;
    let latest = history
        .iter()
        .rev()
        .map(|h| h.result.facts.outcome.ladder.clone())
        .find(|id| args.test.as_ref().is_none_or(|t| t == id));
    let id = latest.ok_or_else(|| {
        Failure::new(format!(
            "{} has no result to compare",
            person.facts.called_name
        ))
        .hint("`plimsoll results` lists what the archive has")
    })?;
    let test = super::known_test(catalogue, &id)?;
    let entries = entries(history, test, facts.scale(test.id()));
    let choices = Choices {
        error: judged.error,
        worthwhile: judged.worthwhile,
        level: judged.level,
        from_memory: args.judging.from_memory,
        ..Choices::default()
    };
    let question = Question {
        facts,
        test,
        person: &person,
        entries: &entries,
        squad_sd: None,
        own: None,
        choices: &choices,
    };
    let report = meaning(&question)
        .map_err(Failure::new)?
        .and_then(|m| m.change);
    let report = report.ok_or_else(|| {
        Failure::new(format!(
            "the results of {} have no value to compare",
            person.facts.called_name
        ))
    })?;
    let now = entries.last().and_then(|e| e.value).map_or(0.0, |(v, _)| v);
    let basis = match &report.error {
        ErrorAnswer::Chosen(choice) => choice.basis.clone(),
        ErrorAnswer::NoAdequateError { words } => words.clone(),
    };
    if session.json {
        let mut document = report.previous.as_ref().map_or_else(
            || json!({ "difference": null, "verdict": "unclear: there is no earlier result" }),
            |p| pair(p, now),
        );
        document["basis"] = json!(basis);
        document["person"] = json!(person.facts.called_name);
        document["test"] = json!(id);
        document["flags"] = json!(report.flags.iter().map(|f| &f.words).collect::<Vec<_>>());
        document["best"] = report.best.as_ref().map_or(Value::Null, |b| pair(b, now));
        print::json(&document)?;
        return Ok(Found::Nothing);
    }
    print::text(format!(
        "{}, {id}: {} now",
        person.facts.called_name,
        short(now, 2)
    ))?;
    for (what, p) in [("last test", &report.previous), ("best test", &report.best)] {
        if let Some(p) = p {
            print::text(format!(
                "against the {what} ({}): {}",
                short(p.value, 2),
                p.words
            ))?;
            for flag in &p.flags {
                print::text(format!("  · {}", flag.words))?;
            }
        }
    }
    for flag in &report.flags {
        print::text(format!("· {}", flag.words))?;
    }
    print::text(format!("how: {basis}"))?;
    Ok(Found::Nothing)
}

fn pair(p: &Pairwise, now: f64) -> Value {
    let n = p.numbers.as_ref();
    json!({
        "difference": number(now - p.value),
        "p_up": n.map(|n| n.chances.up),
        "p_trivial": n.map(|n| n.chances.trivial),
        "p_down": n.map(|n| n.chances.down),
        "detectable": n.map(|n| number(if n.difference >= 0.0 { n.detectable.up } else { n.detectable.down })),
        "interval_90": n.map(|n| n.interval_90),
        "verdict": p.words,
        "flags": p.flags.iter().map(|f| &f.words).collect::<Vec<_>>(),
    })
}
