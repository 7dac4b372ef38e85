//! What one athlete's card reads: that athlete's own line and nothing of anybody else's.
//! Must take a single line; there is no way from here to another athlete.

use serde_json::{Value, json};

use super::Cards;
use super::coach::picture;
use crate::figure::figure_history;
use crate::format::date;
use crate::model::{AthleteLine, ChangeLine, DayFacts, DayReport};
use crate::order::alphabetical;
use crate::wording::{
    capital, chances_sentence, change_words, interval_sentence, result_sentence, sentence,
};

/// Returns the places of the athletes whose cards are asked for, in alphabetical order.
pub fn choose(report: &DayReport, cards: &Cards) -> Vec<usize> {
    let wanted = |i: &usize| match cards {
        Cards::None => false,
        Cards::All => true,
        Cards::Only(ids) => ids.contains(&report.athletes[*i].id),
    };
    alphabetical(&report.athletes)
        .into_iter()
        .filter(wanted)
        .collect()
}

/// Returns the part of the report that cards of these athletes read, with their places in it.
pub fn alone(report: &DayReport, chosen: &[usize]) -> (DayReport, Vec<usize>) {
    let part = DayReport {
        athletes: chosen.iter().map(|&i| report.athletes[i].clone()).collect(),
        lead: String::new(),
        decisions: Vec::new(),
        held: Vec::new(),
        moves: Vec::new(),
        wave: String::new(),
        wave_shift: None,
        how_sure: String::new(),
        sound: None,
        day: DayFacts {
            sound: String::new(),
            ..report.day.clone()
        },
        sources: Vec::new(),
        ..report.clone()
    };
    (part, (0..chosen.len()).collect())
}

/// Returns the data of one card.
pub fn data(report: &DayReport, line: &AthleteLine) -> Value {
    let day = &report.day;
    let place = [day.test_name.clone(), date(day.date), day.venue.clone()];
    let place: Vec<String> = place.into_iter().filter(|p| !p.trim().is_empty()).collect();
    let changes: Vec<Value> = [&line.change, &line.best]
        .into_iter()
        .flatten()
        .map(change)
        .collect();
    let estimates: Vec<Value> = line
        .estimates
        .iter()
        .map(|e| {
            let text = format!(
                "{} ({}). Source: {}",
                capital(&e.text),
                e.interval,
                sentence(&e.source)
            );
            json!({ "text": text, "tag": e.tag.words() })
        })
        .collect();
    let nothing_earlier = if line.change.is_none() && line.best.is_none() && line.value.is_some() {
        "There is no earlier result to compare with yet. This one is where you start from."
    } else {
        ""
    };
    json!({
        "name": line.name,
        "sub": place.join(" · "),
        "result": result_sentence(line, &report.quantity),
        "changes": changes,
        "first": nothing_earlier,
        "history": figure_history(report, line).as_ref().map(picture),
        "next": sentence(&line.next_step),
        "flags": line.flags.iter().map(|f| sentence(&capital(f))).collect::<Vec<_>>(),
        "estimates": estimates,
        "how": sentence(&line.how),
    })
}

fn change(change: &ChangeLine) -> Value {
    let parts = [
        interval_sentence(change),
        chances_sentence(change),
        Some(sentence(&capital(&change.detectable))),
    ];
    let text: Vec<String> = parts
        .into_iter()
        .flatten()
        .filter(|p| !p.is_empty())
        .collect();
    json!({
        "decided": change.decided,
        "verdict": sentence(&capital(&change.verdict)),
        "against": sentence(&capital(&change_words(change))),
        "text": text.join(" "),
    })
}
