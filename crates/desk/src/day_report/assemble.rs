//! The report put together: lines, moves, counts, decisions, words.
//! Which way each runner moved is decided once, and everything that counts reads it.

use plimsoll_interpret::data::TestScale;
use plimsoll_interpret::{Catalogue as Facts, Size};
use plimsoll_report::{
    AthleteLine, Cautions, Counts, DayFacts, DayReport, Move, Quantity, SmallestWorthwhile,
    WaveShift,
};

use super::sources::ladder_tag;
use super::{Material, athlete, decisions, moved, sources, words};
use crate::history::Entry as Past;
use crate::level::wave_finding;
use crate::sound_check::sound_words;

/// Puts the report together.
pub(super) fn put_together(m: &Material<'_>, facts: &Facts) -> DayReport {
    let mut athletes: Vec<AthleteLine> = m.runners.iter().map(|r| athlete::line(m, r)).collect();
    // As the figure reads best: by change, largest first; those without a change by name.
    athletes.sort_by(|a, b| {
        let key = |line: &AthleteLine| line.change.as_ref().map(|c| c.difference);
        match (key(a), key(b)) {
            (Some(x), Some(y)) => y.total_cmp(&x).then_with(|| a.name.cmp(&b.name)),
            (Some(_), None) => std::cmp::Ordering::Less,
            (None, Some(_)) => std::cmp::Ordering::Greater,
            (None, None) => a.name.cmp(&b.name),
        }
    });
    let moves = moves(m, &athletes);
    let finding = m
        .levels
        .as_ref()
        .and_then(|levels| wave_finding(levels, m.day.facts.date))
        .filter(|finding| !finding.words.is_empty());
    let wave_shift = finding.as_ref().map(|found| WaveShift {
        runners: u32::try_from(found.runners).unwrap_or(u32::MAX),
        shift: found.shift,
    });
    let ran = u32::try_from(m.runners.len()).unwrap_or(u32::MAX);
    let bounds = m
        .runners
        .iter()
        .filter(|r| r.now().is_some_and(Past::is_lower_bound))
        .count();
    let bounds = u32::try_from(bounds).unwrap_or(u32::MAX);
    let held = u32::try_from(m.held.len()).unwrap_or(u32::MAX);
    let mut report = DayReport {
        title: String::new(),
        day: day_facts(m),
        quantity: quantity(m.scale),
        lead: String::new(),
        counts: Counts {
            ran,
            scored: ran - bounds,
            lower_bounds: bounds,
            held,
            not_started: 0,
        },
        decisions: decisions::list(m, &moves, wave_shift),
        smallest_worthwhile: smallest_worthwhile(m),
        held: m.held.clone(),
        how_sure: words::how_sure(m),
        wave: finding.map(|found| found.words).unwrap_or_default(),
        wave_shift,
        sound: m.sound.clone(),
        sources: sources::list(m, facts),
        cautions: Cautions::default(),
        athletes,
        moves,
    };
    report.title = words::title(m, &report.tally());
    report
}

/// Which way each runner moved.
fn moves(m: &Material<'_>, athletes: &[AthleteLine]) -> Vec<Move> {
    athletes
        .iter()
        .filter_map(|line| {
            let runner = m
                .runners
                .iter()
                .find(|r| r.person.id.to_string() == line.id)?;
            Some(moved::of(line, runner))
        })
        .collect()
}

fn day_facts(m: &Material<'_>) -> DayFacts {
    let f = &m.day.facts;
    DayFacts {
        date: f.date,
        venue: f
            .venue
            .clone()
            .unwrap_or_else(|| "place not recorded".to_owned()),
        surface: f
            .surface
            .clone()
            .unwrap_or_else(|| "surface not recorded".to_owned()),
        conditions: words::conditions(f),
        test_id: m.test.id().to_owned(),
        test_name: m.test.name().to_owned(),
        test_status: ladder_tag(m.test.status()),
        ladder_fingerprint: m
            .test
            .ladder()
            .map(|_| m.test.fingerprint())
            .unwrap_or_default(),
        course: words::course(m),
        sound: sound_words(m.sound.as_ref()),
    }
}

fn quantity(scale: Option<&TestScale>) -> Quantity {
    let unit = scale.map_or("m", |s| s.unit.as_str());
    let name = match unit {
        "km/h" | "m/s" => "speed",
        "s" => "time",
        "shuttles" => "shuttles",
        _ => "distance",
    };
    Quantity {
        name: name.to_owned(),
        unit: unit.to_owned(),
    }
}

/// Returns the band of the change figure: the worthwhile change used, at the squad's middle.
fn smallest_worthwhile(m: &Material<'_>) -> SmallestWorthwhile {
    let unit = m.scale.map_or("m", |s| s.unit.as_str()).to_owned();
    let mut values: Vec<f64> = m
        .runners
        .iter()
        .filter_map(|r| r.now()?.value.map(|(v, _)| v))
        .collect();
    values.sort_by(f64::total_cmp);
    let middle = values.get(values.len() / 2).copied().unwrap_or(0.0);
    let choice = m.runners.iter().find_map(|r| {
        r.meaning
            .change
            .as_ref()?
            .previous
            .as_ref()?
            .worthwhile
            .clone()
    });
    match choice {
        Some(choice) => SmallestWorthwhile {
            value: match choice.size {
                Size::InUnit(v) => v,
                Size::Percent(p) => p / 100.0 * middle,
            },
            unit,
            source: choice.basis,
        },
        None => SmallestWorthwhile {
            value: 0.0,
            unit,
            source: "no smallest worthwhile change was needed: nobody has an earlier result"
                .to_owned(),
        },
    }
}
