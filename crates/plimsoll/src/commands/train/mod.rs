//! `plimsoll train`: from a final speed to runs and groups, from trials to critical speed.

mod files;
mod trials;
mod words;

use plimsoll_desk::Choices;
use plimsoll_desk::training::{
    FromArchive, Origin, TrainingError, Wish, entrants_of_day, entrants_of_person, training_card,
};
use plimsoll_interpret::data::{BasisKind, TrainingBasis};
use plimsoll_interpret::training::{
    Course, GroupChoices, Intensity, Rules, TrainingRefusal, format_of,
};
use plimsoll_interpret::{Catalogue as Facts, Confidence};
use plimsoll_ladder::Catalogue;
use plimsoll_report::{figure_training, render_training_pdf};

use super::reading;
use crate::cli::{Judging, Train, TrainRun};
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::{print, world};

/// Sets training from results, a list of speeds, or trials.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Train,
) -> Result<Found, Failure> {
    if let Some(file) = &args.trials {
        return trials::run(session, facts, args, file);
    }
    let choices = choices(args)?;
    let format = format_of(facts, &args.run.format).map_err(Failure::new)?;
    let (origin, people) = source(session, catalogue, facts, args, &choices)?;
    let wish = Wish {
        format,
        intensity: intensity(&args.run),
        course: args.run.lane.map_or(Course::Straight, Course::Lane),
        rules: rules(&args.run),
        groups: match args.person {
            Some(_) => None,
            None => Some(groups(args)?),
        },
    };
    if args.person.is_some() && !args.grouping.moves.is_empty() {
        return Err(
            Failure::new("--move moves people between groups; --person has none")
                .hint("leave --move out, or name a --day"),
        );
    }
    let card = training_card(&origin, &people, &wish).map_err(refused)?;
    let mut pages = None;
    if args.out.is_some() {
        pages = Some(render_training_pdf(&card, world::now_utc(), &[]).map_err(Failure::new)?);
    }
    let figure = match &args.figure {
        None => None,
        Some(_) => Some(figure_training(&card).ok_or_else(|| {
            Failure::new("there is no figure: nobody has a speed").hint("leave --figure out")
        })?),
    };
    let mut files = Vec::new();
    if let (Some(path), Some(pages)) = (&args.out, &pages) {
        places::write_whole(path, &pages.bytes)?;
        files.push(path.display().to_string());
    }
    if let (Some(path), Some(figure)) = (&args.figure, &figure) {
        places::write_whole(path, figure.svg.as_bytes())?;
        files.push(path.display().to_string());
    }
    let warnings = pages.map_or_else(Vec::new, |p| p.warnings);
    if session.json {
        let mut document = serde_json::to_value(&card).map_err(Failure::new)?;
        document["cautions"] = serde_json::json!(card.cautions.short);
        document["files"] = serde_json::json!(files);
        document["warnings"] = serde_json::json!(warnings);
        print::json(&document)?;
    } else {
        print::text(words::card(&card))?;
        for file in files {
            print::text(file)?;
        }
        for warning in warnings {
            print::text(format!("note: {warning}"))?;
        }
    }
    Ok(Found::Nothing)
}

/// Adds the option that answers a refusal.
fn refused(why: TrainingRefusal) -> Failure {
    let hint = match &why {
        TrainingRefusal::NoRule { .. } | TrainingRefusal::AfterRests { .. } => {
            "a factor of your own goes into --factor F"
        }
        TrainingRefusal::ShuttlesOnly { lane_m, .. } => {
            return Failure::new(&why)
                .hint(format!("add --lane {lane_m} --percent 100, or --factor F"));
        }
        TrainingRefusal::BothCorrections { .. } => "leave out --turn or --straight-factor",
        TrainingRefusal::TurnsAlreadyIn { .. } => "leave out --turn",
        TrainingRefusal::FactorElsewhere { .. } => "leave out --straight-factor",
        TrainingRefusal::TooFast { .. } => "set --percent P, at most 110",
        TrainingRefusal::LaneTooShort { .. } => "set --lane M, 10 or more",
        TrainingRefusal::Maximal { .. } | TrainingRefusal::NoIntensity { .. } => "set --percent P",
        TrainingRefusal::BandTooNarrow { .. } => "set a wider --band KM/H, or leave it out",
        TrainingRefusal::Nobody { .. } => "--with-first-trials groups them with a mark",
        TrainingRefusal::MoveWho { .. } | TrainingRefusal::MoveWhere { .. } => {
            "write --move NAME=GROUP"
        }
        _ => return Failure::new(why),
    };
    Failure::new(&why).hint(hint)
}

fn choices(args: &Train) -> Result<Choices, Failure> {
    let judged = reading::judging(&Judging {
        typical_error: args.grouping.typical_error.clone(),
        swc: None,
        level: args.grouping.level.clone(),
        from_memory: false,
    })?;
    Ok(Choices {
        error: judged.error,
        level: judged.level,
        ..Choices::default()
    })
}

fn source(
    session: &Session,
    catalogue: &Catalogue,
    facts: &Facts,
    args: &Train,
    choices: &Choices,
) -> Result<(Origin, Vec<plimsoll_desk::training::Entrant>), Failure> {
    if let Some(id) = &args.test {
        super::known_test(catalogue, id)?;
    }
    if let Some(file) = &args.file {
        let people = files::speeds(file, choices.error)?;
        let basis = match (&args.test, args.mas) {
            (Some(id), _) => basis(facts, id, args)?,
            (None, true) => maximal_aerobic(),
            (None, false) => {
                return Err(
                    Failure::new("the file does not say what its speeds are").hint(
                        "name the test with --test ID, or say --mas for maximal aerobic speeds",
                    ),
                );
            }
        };
        let name = file
            .file_name()
            .and_then(|n| n.to_str())
            .unwrap_or("a file");
        let words = match &args.test {
            Some(id) => format!("{name} · {id}"),
            None => format!("{name} · maximal aerobic speeds"),
        };
        return Ok((Origin { basis, words }, people));
    }
    let archive = session.read()?;
    let found: FromArchive = if let Some(name) = &args.person {
        let person = archive.person_named(name)?;
        let test = args.test.as_deref();
        entrants_of_person(&archive, catalogue, facts, &person, test, choices).map_err(unfit)?
    } else {
        let written = args.day.as_deref().unwrap_or("");
        let written = match &args.test {
            Some(id) if !written.contains('/') => format!("{written}/{id}"),
            _ => written.to_owned(),
        };
        let day = reading::the_day(&archive, &written)?;
        entrants_of_day(&archive, catalogue, facts, &day, choices).map_err(unfit)?
    };
    let basis = basis(facts, &found.test, args)?;
    let words = format!("{} · {}", found.test_name, found.date);
    Ok((Origin { basis, words }, found.people))
}

fn unfit(error: TrainingError) -> Failure {
    match error {
        TrainingError::Refused(why) => refused(why),
        other => Failure::new(other),
    }
}

/// Returns what the test's speed stands for; with a factor of the user's own, any test will do.
fn basis(facts: &Facts, id: &str, args: &Train) -> Result<TrainingBasis, Failure> {
    if let Some(basis) = facts.basis(id) {
        return Ok(basis.clone());
    }
    if args.run.factor.is_some() {
        return Ok(TrainingBasis {
            test: id.to_owned(),
            kind: BasisKind::Rests,
            lane_m: None,
            note: "final or mean speed of the test".to_owned(),
            confidence: Confidence::Derived,
        });
    }
    Err(refused(TrainingRefusal::NoRule {
        test: id.to_owned(),
    }))
}

fn maximal_aerobic() -> TrainingBasis {
    TrainingBasis {
        test: "mas".to_owned(),
        kind: BasisKind::Mas,
        lane_m: None,
        note: "maximal aerobic speed in the file; say which test gave it".to_owned(),
        confidence: Confidence::CommonPractice,
    }
}

/// Returns how hard, as set by hand.
fn intensity(run: &TrainRun) -> Option<Intensity> {
    run.percent
        .map(Intensity::Percent)
        .or_else(|| run.reserve.map(Intensity::Reserve))
}

fn rules(run: &TrainRun) -> Rules {
    Rules {
        turn_s: run.turn,
        straight_factor: run.straight_factor,
        factor: run.factor,
    }
}

fn groups(args: &Train) -> Result<GroupChoices, Failure> {
    let moves = args.grouping.moves.iter().map(|written| {
        let bad = || {
            Failure::new(format!("--move is `{written}`, not a name and a group"))
                .hint("write NAME=GROUP, such as \"Sol Heron=2\"; group 1 is the fastest")
        };
        let (name, group) = written.rsplit_once('=').ok_or_else(bad)?;
        let group: usize = group.trim().parse().map_err(|_| bad())?;
        if name.trim().is_empty() {
            return Err(bad());
        }
        Ok((name.trim().to_owned(), group))
    });
    Ok(GroupChoices {
        width_kmh: args.grouping.band,
        with_doubt: args.grouping.with_first_trials,
        moves: moves.collect::<Result<_, Failure>>()?,
    })
}
