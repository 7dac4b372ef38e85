//! What a person must decide before results are used, most urgent first.

use plimsoll_report::Decision;

use super::words::{date, number};
use super::{Material, Runner};

/// Returns what needs a decision: another test heard, cut-short runs, large falls, first-ever tests, held rows.
pub(super) fn list(m: &Material<'_>) -> Vec<Decision> {
    let mut out: Vec<Decision> = other_test(m);
    out.extend(m.runners.iter().filter_map(|r| cut_short(m, r)));
    out.extend(m.runners.iter().filter_map(large_fall));
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

/// A fall that the numbers call likely deserves a question before it is used.
fn large_fall(r: &Runner) -> Option<Decision> {
    let previous = r.meaning.change.as_ref()?.previous.as_ref()?;
    if !previous.words.contains("worse") || r.now()?.is_lower_bound() {
        return None;
    }
    let earlier = r
        .entries
        .iter()
        .find(|e| crate::history::day_number(e.date()) == previous.day)
        .map_or_else(String::new, |e| date(e.date()));
    Some(Decision {
        person: r.person.facts.called_name.clone(),
        what: format!("{} than on {earlier}", previous.words),
        choices: "ask about sleep, illness, pain; keep with a note, or repeat".to_owned(),
    })
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
