//! `plimsoll day`: test days with their waves, the log of a wave, its state at any moment.

use std::path::Path;

use plimsoll_archive::{Archive, WaveId};
use plimsoll_judge::{Event, Fold, LaneState, LaneStatus, Settlement, WaveState, What};
use plimsoll_ladder::{Catalogue, Test};
use serde_json::{Value, json};

use super::known_test;
use crate::cli::{DayCommand, Replay};
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print::{self, Align};

/// Does what is asked of days.
pub fn run(
    session: &Session,
    catalogue: &Catalogue,
    command: &DayCommand,
) -> Result<Found, Failure> {
    match command {
        DayCommand::List => list(session),
        DayCommand::Log { wave } => {
            for line in lines_of_wave(session, wave)? {
                print::text(line)?;
            }
            Ok(Found::Nothing)
        }
        DayCommand::Replay(replay) => self::replay(session, catalogue, replay),
    }
}

fn list(session: &Session) -> Result<Found, Failure> {
    let archive = session.read()?;
    let mut rows = Vec::new();
    let mut documents = Vec::new();
    for day in archive.days()? {
        let waves = archive.waves(day.id)?;
        let name = day.facts.name.clone().unwrap_or_default();
        documents.push(json!({
            "day": day.id.to_string(),
            "date": day.facts.date.to_string(),
            "name": day.facts.name,
            "test": day.facts.ladder_id,
            "waves": waves.iter().map(|w| json!({
                "wave": w.id.to_string(), "number": w.number, "name": w.name,
            })).collect::<Vec<_>>(),
        }));
        if waves.is_empty() {
            rows.push(vec![
                day.facts.date.to_string(),
                name.clone(),
                String::new(),
                String::new(),
            ]);
        }
        for wave in waves {
            rows.push(vec![
                day.facts.date.to_string(),
                name.clone(),
                wave.name,
                wave.id.to_string(),
            ]);
        }
    }
    if session.json {
        print::json(&Value::Array(documents))?;
    } else {
        let head = [
            ("date", Align::Left),
            ("day", Align::Left),
            ("wave", Align::Left),
            ("id of the wave", Align::Left),
        ];
        print::text(print::table(&head, &rows))?;
    }
    Ok(Found::Nothing)
}

fn lines_of_wave(session: &Session, wave: &str) -> Result<Vec<String>, Failure> {
    let archive = session.read()?;
    let wave = known_wave(&archive, wave)?;
    let events = archive.wave_events(wave, 0)?;
    Ok(events.into_iter().map(|event| event.body).collect())
}

fn known_wave(archive: &Archive, id: &str) -> Result<WaveId, Failure> {
    let unknown = || {
        Failure::new(format!("the archive has no wave `{id}`"))
            .hint("`plimsoll day list` shows the waves with their ids")
    };
    let id = id.parse().map_err(|_| unknown())?;
    archive.wave(id)?.map(|wave| wave.id).ok_or_else(unknown)
}

fn replay(session: &Session, catalogue: &Catalogue, args: &Replay) -> Result<Found, Failure> {
    let path = Path::new(&args.log);
    let lines: Vec<String> = if path.exists() {
        let text = places::read_small(path)?;
        text.lines().map(str::to_owned).collect()
    } else {
        lines_of_wave(session, &args.log)?
    };
    let mut events = Vec::new();
    for (line, n) in lines.iter().zip(1..) {
        if line.trim().is_empty() {
            continue;
        }
        let event = Event::read(line)
            .map_err(|fault| Failure::new(format!("{}, line {n}: {fault}", args.log)))?;
        events.push(event);
    }
    let test = test_of(catalogue, &events, &args.log)?;
    let fold = Fold::new(test).ok_or_else(|| {
        Failure::new(format!(
            "`{}` is not paced by cues, so it has no waves to replay",
            test.id()
        ))
    })?;
    let by_cue = |event: &&Event| match (args.cue, event.cue_ms) {
        (Some(limit), Some(at)) => at as f64 <= limit * 1000.0,
        _ => true,
    };
    let taken = events.iter().take(args.until.unwrap_or(usize::MAX));
    let state = fold.state(taken.filter(by_cue));
    if session.json {
        print::json(&json!({
            "state": state,
            "results": state.results(),
            "read_back": state.read_back(),
            "read_back_in_words": state.read_back().in_words(),
        }))?;
    } else {
        print::text(in_words(test, &state))?;
    }
    let open = state.conflicts.iter().any(|c| !c.ruled);
    Ok(Found::any(open))
}

fn test_of<'c>(catalogue: &'c Catalogue, events: &[Event], log: &str) -> Result<&'c Test, Failure> {
    let opened = events.iter().find_map(|event| match &event.what {
        What::Opened { plan } => Some(plan),
        _ => None,
    });
    let plan = opened.ok_or_else(|| {
        Failure::new(format!(
            "{log}: no event opens the wave, so its test is not known"
        ))
        .hint("a log begins with an event of kind `opened`; `plimsoll day log WAVE` prints one")
    })?;
    let test = known_test(catalogue, &plan.test)?;
    if test.fingerprint() != plan.fingerprint {
        return Err(Failure::new(format!(
            "{log}: the wave ran `{}` with fingerprint {}, and the definition here has {}",
            plan.test,
            plan.fingerprint,
            test.fingerprint()
        ))
        .hint("give the definition that was run with --definitions"));
    }
    Ok(test)
}

fn in_words(test: &Test, state: &WaveState) -> String {
    let head = [
        ("lane", Align::Right),
        ("bib", Align::Left),
        ("name", Align::Left),
        ("state", Align::Left),
        ("completed", Align::Right),
        ("misses", Align::Right),
        ("why", Align::Left),
        ("not per definition", Align::Left),
    ];
    let results = state.results();
    let rows: Vec<Vec<String>> = state
        .lanes
        .iter()
        .zip(&results)
        .map(|(lane, result)| {
            vec![
                lane.plan.lane.to_string(),
                lane.plan.bib.clone().unwrap_or_default(),
                lane.plan.name.clone(),
                status(lane.status).to_owned(),
                completed(test, lane),
                format!("{}", lane.warning.count),
                lane.stop
                    .as_ref()
                    .map_or(String::new(), |stop| stop.reason.in_words().to_owned()),
                match &result.settlement {
                    Settlement::Open(why) if lane.status != LaneStatus::Running => {
                        format!("open: {why}")
                    }
                    _ => result.deviations.join("; "),
                },
            ]
        })
        .collect();
    let mut text = format!(
        "{} ({}), {} events, {}\n",
        test.name(),
        test.id(),
        state.events,
        if state.closed { "closed" } else { "not closed" }
    );
    text += &print::table(&head, &rows);
    text += &format!("\n{}\n", state.read_back().in_words());
    for conflict in state.conflicts.iter().filter(|c| !c.ruled) {
        text += &format!(
            "lane {}: assessors disagree about {}; the lead must rule\n",
            conflict.lane, conflict.about
        );
    }
    text
}

fn completed(test: &Test, lane: &LaneState) -> String {
    let done = lane.stop.as_ref().and_then(|stop| stop.completed);
    let label = |bout| {
        let found = test.ladder().and_then(|ladder| ladder.by_number(bout));
        found.map_or_else(|| bout.to_string(), |bout| bout.label.clone())
    };
    match done {
        Some(done) if done.bouts == 0 => "none".to_owned(),
        Some(done) => label(done.bouts),
        None => String::new(),
    }
}

const fn status(status: LaneStatus) -> &'static str {
    match status {
        LaneStatus::Waiting => "waiting",
        LaneStatus::Running => "running",
        LaneStatus::Stopped => "stopped",
        LaneStatus::NotStarted => "not started",
        LaneStatus::Void => "void",
    }
}
