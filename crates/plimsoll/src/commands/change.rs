//! `plimsoll change`: is a difference real?

use std::path::Path;

use plimsoll_archive::Person;
use plimsoll_desk::Choices;
use plimsoll_desk::change::{ChangeError, ValuesAnswer, ValuesAsk, of_person, of_values};
use plimsoll_interpret::{Catalogue as Facts, Sex, SexGroup};
use plimsoll_ladder::Catalogue;
use plimsoll_report::Figure;

use super::reading;
use crate::cli::Change;
use crate::failure::{Failure, Found};
use crate::places::{Session, write_whole};
use crate::print::{self, short};

mod person;

/// Answers for two values, or for a person of the archive.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Change,
) -> Result<Found, Failure> {
    let judged = reading::judging(&args.judging)?;
    let choices = Choices {
        error: judged.error,
        worthwhile: judged.worthwhile,
        level: judged.level,
        standard: args.standard.clone(),
        from_memory: args.judging.from_memory,
        ..Choices::default()
    };
    if let Some(name) = &args.person {
        return of_somebody(session, catalogue, facts, args, &choices, name);
    }
    let (Some(id), Some(from), Some(to)) = (args.test.as_deref(), args.from, args.to) else {
        return Err(
            Failure::new("a change needs --test, --from and --to, or --person")
                .hint("see `plimsoll change --help`"),
        );
    };
    super::known_test(catalogue, id)?;
    let ask = ValuesAsk {
        test: id.to_owned(),
        from,
        to,
        sex: args.sex.as_deref().map(sex).transpose()?,
        age: args.age,
        age_from: args.age_from,
        choices,
    };
    let answer = of_values(facts, ask).map_err(|e| {
        Failure::new(e).hint(
            "--from and --to are results in the unit of the test, --age and --age-from are years",
        )
    })?;
    draw(args.figure.as_deref(), answer.figure())?;
    if session.json {
        print::json(&answer.document())?;
    } else {
        print::text(words(&answer))?;
    }
    Ok(Found::Nothing)
}

fn sex(written: &str) -> Result<Sex, Failure> {
    match SexGroup::parse(written) {
        Some(SexGroup::Male) => Ok(Sex::Male),
        Some(SexGroup::Female) => Ok(Sex::Female),
        _ => Err(
            Failure::new(format!("--sex is `{written}`; allowed are M and F"))
                .hint("leave it out when it is not known"),
        ),
    }
}

fn draw(file: Option<&Path>, figure: Option<Figure>) -> Result<(), Failure> {
    let Some(file) = file else {
        return Ok(());
    };
    let figure = figure.ok_or_else(|| {
        Failure::new("nothing to draw: no chance can be given for this change")
            .hint("leave out --figure to read why; --typical-error and --swc set what is missing")
    })?;
    write_whole(file, figure.svg.as_bytes())
}

fn words(answer: &ValuesAnswer) -> String {
    let a = &answer.quick;
    let unit = answer.unit();
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
    match &answer.growth {
        Some(Ok(growth)) => {
            out.push_str(&format!("\n{}", print::wrapped(&growth.line(), 96)));
            out.push_str(&format!("\n{}", print::wrapped(&growth.basis(), 96)));
        }
        Some(Err(why)) => out.push_str(&format!("\n{}", print::wrapped(why, 96))),
        None => {}
    }
    out.push_str(&format!("\nhow: {}", a.basis));
    out
}

fn of_somebody(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Change,
    choices: &Choices,
    name: &str,
) -> Result<Found, Failure> {
    let archive = session.read()?;
    let who: Person = archive.person_named(name)?;
    let latest = archive
        .history(who.id)?
        .iter()
        .rev()
        .map(|h| h.result.facts.outcome.ladder.clone())
        .find(|id| args.test.as_ref().is_none_or(|t| t == id));
    let id = latest.ok_or_else(|| {
        Failure::new(format!(
            "{} has no result to compare",
            who.facts.called_name
        ))
        .hint("`plimsoll results` lists what the archive has")
    })?;
    let test = super::known_test(catalogue, &id)?;
    let answer = of_person(&archive, facts, test, &who, choices).map_err(|e| match e {
        ChangeError::Archive(fault) => Failure::from(fault),
        other => Failure::new(other),
    })?;
    draw(args.figure.as_deref(), answer.figure())?;
    if session.json {
        print::json(&answer.document())?;
    } else {
        print::text(person::words(&answer))?;
    }
    Ok(Found::Nothing)
}
