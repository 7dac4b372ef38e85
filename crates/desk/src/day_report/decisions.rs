//! What a person must decide before results are used, most urgent first.

use plimsoll_report::{Basis, Decision, Move, WaveShift, Way, format};

use super::words::{date, number};
use super::{Material, Runner};

/// Returns what needs a decision: another test heard, cut-short runs, likely falls, rises that may be the wave's,
/// first-ever tests, held rows.
pub(super) fn list(m: &Material<'_>, moves: &[Move], shift: Option<WaveShift>) -> Vec<Decision> {
    let moved = |r: &Runner| {
        let id = r.person.id.to_string();
        moves.iter().find(|one| one.id == id)
    };
    let mut out: Vec<Decision> = other_test(m);
    out.extend(m.runners.iter().filter_map(|r| cut_short(m, r)));
    out.extend(m.runners.iter().filter_map(|r| fall(r, moved(r)?, shift)));
    out.extend(m.runners.iter().filter_map(|r| rise(r, moved(r)?, shift?)));
    out.extend(m.runners.iter().filter_map(first_ever));
    out.extend(m.held.iter().map(|h| Decision {
        person: format!("sheet, row {}", h.row),
        what: format!("{} ({})", h.why, h.found),
        choices: h.suggestion.clone(),
    }));
    out
}

/// Each recording in which another test was heard than the day says.
fn other_test(m: &Material<'_>) -> Vec<Decision> {
    let recordings = m.sound.iter().flat_map(|sound| &sound.recordings);
    recordings
        .filter(|one| !one.deviation.is_empty())
        .map(|one| Decision {
            person: format!("sound, {}", one.file_name),
            what: one.deviation.clone(),
            choices: "correct the day if it names the wrong test, or undo the sound check and \
                      attach the right recording; no result was changed"
                .to_owned(),
        })
        .collect()
}

fn cut_short(m: &Material<'_>, r: &Runner) -> Option<Decision> {
    let now = r.now().filter(|e| e.is_lower_bound())?;
    let reason = now.entry.result.facts.outcome.reason.in_words();
    let unit = m.scale.map_or("m", |s| s.unit.as_str());
    let known = now.value.map_or_else(String::new, |(v, _)| {
        format!(": known only as at least {} {unit}", number(v, 0))
    });
    let at = now
        .score
        .label
        .as_ref()
        .map_or_else(String::new, |l| format!(" at {l}"));
    let easier = m.test.definition().easier.as_ref().map_or_else(
        || "repeat when cleared, or leave open".to_owned(),
        |id| format!("easier form ({id}) when cleared, or leave open"),
    );
    Some(Decision {
        person: r.person.facts.called_name.clone(),
        what: format!("stopped, {reason}{at}{known}"),
        choices: easier,
    })
}

/// A likely fall deserves a question before it is used; where the whole wave fell, that comes first.
fn fall(r: &Runner, moved: &Move, shift: Option<WaveShift>) -> Option<Decision> {
    if moved.way != Way::Worse {
        return None;
    }
    let choices = "ask about sleep, illness, pain; keep with a note, or repeat";
    let (wave, choices) = match shift.filter(|s| s.shift < 0.0) {
        Some(shift) => (
            wave_words(shift),
            format!("clear up the wave first, then {choices}"),
        ),
        None => (String::new(), choices.to_owned()),
    };
    Some(Decision {
        person: r.person.facts.called_name.clone(),
        what: format!("{}{wave}", what(r, moved)?),
        choices,
    })
}

/// A likely rise on a day on which the whole wave ran further is not the runner's own yet.
fn rise(r: &Runner, moved: &Move, shift: WaveShift) -> Option<Decision> {
    if moved.way != Way::Better || shift.shift <= 0.0 {
        return None;
    }
    Some(Decision {
        person: r.person.facts.called_name.clone(),
        what: format!("{}{}", what(r, moved)?, wave_words(shift)),
        choices: "do not credit the rise before the wave is explained: course, track, wind; or \
                  repeat"
            .to_owned(),
    })
}

/// The move with its chance, since when, and what says so.
fn what(r: &Runner, moved: &Move) -> Option<String> {
    let chance = format::percent(moved.chance?);
    let (up, basis) = (moved.way == Way::Better, moved.basis.in_words());
    let earlier = r.entries.len().checked_sub(2)?;
    let since = date(r.entries.get(earlier)?.date());
    Some(match moved.basis {
        Basis::Level => format!(
            "level has likely {} since {since} (chance {chance}; {basis})",
            if up { "risen" } else { "fallen" },
        ),
        Basis::TwoTests => format!(
            "likely {} than on {since} (chance {chance}; {basis})",
            if up { "better" } else { "worse" },
        ),
    })
}

fn wave_words(shift: WaveShift) -> String {
    let size = format::percent(shift.shift.abs());
    let direction = if shift.shift > 0.0 {
        "further"
    } else {
        "less far"
    };
    format!(", but the whole wave ran about {size} {direction} than its history leads to expect")
}

fn first_ever(r: &Runner) -> Option<Decision> {
    if r.entries.len() != 1 || r.now()?.is_lower_bound() {
        return None;
    }
    Some(Decision {
        person: r.person.facts.called_name.clone(),
        what: "first test ever: not a baseline".to_owned(),
        choices: "repeat within ten days, or keep as practice".to_owned(),
    })
}
