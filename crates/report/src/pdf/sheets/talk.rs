//! Data of the sheets that are read or agreed: rule card, briefing, emergency card.
//! Must not shorten what safety needs: a text too long for its page goes on to the next.

use serde_json::{Value, json};
use unicode_segmentation::UnicodeSegmentation;

use super::line::short;
use super::{place, shown};
use crate::model::{Briefing, DaySheets, EmergencyPlan, RuleCard};
use crate::wording::sentence;

/// Words a minute of a voice in the open air. Common practice, no source.
const WORDS_A_MINUTE: f64 = 150.0;
/// Longest briefing, s. Common practice, no source.
const LONGEST_BRIEFING_S: f64 = 90.0;
/// Longest time from a collapse to the shock, s. Secondary source read.
const SHOCK_S: u32 = 180;

/// Returns the data of a rule card.
pub fn rules(card: &RuleCard) -> Value {
    let rules: Vec<Value> = card
        .rules
        .iter()
        .map(|r| {
            let source = shown(&r.source);
            json!({ "text": sentence(&r.text), "tag": r.tag.words(), "source": source })
        })
        .collect();
    let settings: Vec<Value> = card
        .settings
        .iter()
        .map(|s| json!([shown(&s.setting), shown(&s.value)]))
        .collect();
    json!({
        "kind": "rules",
        "test": shown(&card.test_name),
        "id": card.test_id,
        "fingerprint": short(&card.fingerprint),
        "rules": rules,
        "settings": settings,
        "sources": card.sources.iter().map(|s| sentence(s)).collect::<Vec<_>>(),
    })
}

/// Returns the data of the briefing; the caller is warned of one that takes too long.
pub fn briefing(day: &DaySheets, warnings: &mut Vec<String>) -> Option<Value> {
    let script = day.briefing.as_ref()?;
    let words = words(script);
    let seconds = f64::from(u32::try_from(words).unwrap_or(u32::MAX)) * 60.0 / WORDS_A_MINUTE;
    let long = seconds > LONGEST_BRIEFING_S;
    if long {
        warnings.push(format!(
            "the briefing has {words} words and takes about {seconds:.0} s to read; \
             {LONGEST_BRIEFING_S:.0} s are customary: shorten it"
        ));
    }
    Some(json!({
        "kind": "briefing",
        "place": place(day),
        "paragraphs": script.paragraphs.iter().map(|p| shown(p)).collect::<Vec<_>>(),
        "words": words.to_string(),
        "seconds": format!("{seconds:.0}"),
        "long": long,
        "easier": shown(&script.easier),
        "cautions": script.cautions.full,
        "origin": shown(&script.cautions.origin),
    }))
}

fn words(script: &Briefing) -> usize {
    let count = |text: &String| text.unicode_words().count();
    script.paragraphs.iter().map(count).sum()
}

/// Returns the data of the emergency card.
pub fn emergency(day: &DaySheets) -> Option<Value> {
    let plan = day.emergency.as_ref()?;
    let stop = &day.stop_criteria;
    let walk = plan
        .aed_walk_s
        .map_or_else(String::new, |s| minutes(u32::from(s)));
    let people = [
        ("Leads", &plan.leads),
        ("Calls", &plan.calls),
        ("Fetches the defibrillator", &plan.fetches_aed),
        ("Opens the gate", &plan.opens_gate),
        ("Meets the ambulance", &plan.meets_ambulance),
    ]
    .map(|(role, who)| json!([role, shown(who)]));
    let places = [
        ("Exact address", &plan.address),
        ("Grid reference", &plan.grid),
        ("Nearest hospital", &plan.hospital),
    ]
    .map(|(what, text)| json!([what, shown(text)]));
    Some(json!({
        "kind": "emergency",
        "place": place(day),
        "phone": shown(&plan.phone),
        "people": people,
        "aed": shown(&plan.aed_place),
        "walk": walk,
        "far": far(plan),
        "places": places,
        "notes": plan.notes.iter().map(|n| shown(n)).filter(|n| !n.is_empty()).collect::<Vec<_>>(),
        "runner": stop.runner,
        "everybody": stop.everybody,
        "collapse": stop.collapse,
        "heat": stop.heat,
        "origin": stop.origin,
    }))
}

/// Says so when the way there and back alone takes as long as the shock may.
fn far(plan: &EmergencyPlan) -> String {
    let both = plan.aed_walk_s.map_or(0, |s| u32::from(s) * 2);
    if both < SHOCK_S {
        return String::new();
    }
    format!(
        "There and back is {} at a walk; the first shock is due within {} of the collapse. Bring it \
         to the line before the start.",
        minutes(both),
        minutes(SHOCK_S)
    )
}

/// Returns seconds as "1 min 50 s", "45 s" or "3 min".
fn minutes(seconds: u32) -> String {
    match (seconds / 60, seconds % 60) {
        (0, s) => format!("{s}\u{A0}s"),
        (m, 0) => format!("{m}\u{A0}min"),
        (m, s) => format!("{m}\u{A0}min {s}\u{A0}s"),
    }
}
