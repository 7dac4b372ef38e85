//! Sentences about the day: title, conditions, course, how sure it all is.

use jiff::civil::Date;
use plimsoll_archive::DayFacts;
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_report::{Tally, title_words};

use super::Material;
use crate::history::Entry;
use crate::sound_check::sound_sentence;

/// Returns a date as people write it.
pub(super) fn date(date: Date) -> String {
    date.strftime("%-d %b %Y").to_string()
}

/// Returns a number with a true minus and at most so many decimals.
pub(super) fn number(value: f64, places: usize) -> String {
    format!("{value:.places$}").replace('-', "\u{2212}")
}

/// Returns a text with the marks of a command line as a page prints them: `so` becomes “so”.
pub(super) fn for_print(text: &str) -> String {
    let mut open = false;
    text.chars()
        .map(|c| match c {
            '`' => {
                open = !open;
                if open { '“' } else { '”' }
            }
            c => c,
        })
        .collect()
}

/// Returns why a row is held, for a code of the examiner or of ours.
pub(super) fn reason(code: &str, allowed: Option<&str>) -> String {
    let plain = code.replace('-', " ");
    match allowed {
        Some(allowed) => format!("{plain}; allowed: {allowed}"),
        None => plain,
    }
}

/// Returns the heading: whose day it is, and how many moved since the test before.
pub(super) fn title(m: &Material<'_>, tally: &Tally) -> String {
    let f = &m.day.facts;
    let who = f
        .squad
        .clone()
        .or_else(|| f.name.clone())
        .unwrap_or_else(|| "The squad".to_owned());
    let mut before: Vec<Date> = m
        .runners
        .iter()
        .filter_map(|r| {
            r.entries
                .len()
                .checked_sub(2)
                .and_then(|i| r.entries.get(i))
        })
        .map(Entry::date)
        .collect();
    before.sort();
    let since = before
        .get(before.len() / 2)
        .map(|day| day.strftime("%B").to_string());
    title_words(&who, since.as_deref(), tally)
}

/// Returns the weather or hall climate.
pub(super) fn conditions(f: &DayFacts) -> String {
    let mut parts = Vec::new();
    if let Some(indoor) = f.indoor {
        parts.push(if indoor {
            "indoors".to_owned()
        } else {
            "outdoors".to_owned()
        });
    }
    let mut measured = |value: Option<f64>, unit: &str, name: &str| {
        if let Some(v) = value {
            let places = usize::from(!unit.starts_with('%'));
            parts.push(format!("{name}{} {unit}", number(v, places)));
        }
    };
    measured(f.temperature_c, "°C", "");
    measured(f.humidity_percent, "% humidity", "");
    measured(f.wbgt_c, "°C", "WBGT ");
    // Under a roof a wind of zero goes without saying.
    measured(f.wind_m_s.filter(|w| *w > 0.0), "m/s", "wind ");
    measured(f.wind_along_lane_m_s, "m/s", "along the lanes ");
    if let Some(time) = f.start_time {
        parts.push(format!("start {}", time.strftime("%H:%M")));
    }
    parts.join(", ")
}

/// Returns the course check, with what a wrong length is worth.
pub(super) fn course(m: &Material<'_>) -> String {
    let nominal = m
        .test
        .definition()
        .course
        .leg
        .as_ref()
        .map(|l| l.value.as_m_f64());
    match (m.day.facts.course_length_mm, nominal) {
        (None, _) => "course not measured".to_owned(),
        (Some(mm), None) => format!("course {} m", number(f64::from(mm) / 1e3, 2)),
        (Some(mm), Some(nominal)) => {
            let metres = f64::from(mm) / 1e3;
            let off = (metres / nominal - 1.0) * 100.0;
            if off.abs() <= 0.1 {
                format!("course {} m", number(metres, 2))
            } else {
                let who = if off < 0.0 {
                    "everyone was favoured"
                } else {
                    "everyone was held back"
                };
                format!(
                    "course {} m instead of {} m ({}{} %): {who}, so changes are not judged",
                    number(metres, 2),
                    number(nominal, 2),
                    if off > 0.0 { "+" } else { "" },
                    number(off, 1),
                )
            }
        }
    }
}

/// Returns how sure the day's numbers are.
pub(super) fn how_sure(m: &Material<'_>) -> String {
    let mut parts = vec![capital(&course(m)) + "."];
    parts.push(sound_sentence(m.sound.as_ref()));
    let change = m.runners.iter().find_map(|r| {
        let change = r.meaning.change.as_ref()?;
        change
            .previous
            .as_ref()?
            .numbers
            .as_ref()
            .map(|n| (change, *n))
    });
    if let Some((change, numbers)) = change {
        if let ErrorAnswer::Chosen(choice) = &change.error {
            parts.push(format!("{}.", capital(&choice.basis)));
        }
        if let Some(steps) = numbers.detectable.up_steps {
            parts.push(format!(
                "By two tests alone, one player must move about {} bouts before chance is ruled out.",
                number(steps, 0)
            ));
        }
    } else {
        parts.push("No one has an earlier result to set beside this one.".to_owned());
    }
    if let Some(levels) = &m.levels {
        parts.push(format!(
            "Levels go by all results: {}; a change of {} % or more matters.",
            levels.basis(),
            number(levels.worthwhile() * 100.0, 0)
        ));
    }
    let unjudged = m
        .runners
        .iter()
        .filter(|r| {
            r.meaning.change.as_ref().is_some_and(|c| {
                c.previous.is_some() && matches!(c.error, ErrorAnswer::NoAdequateError { .. })
            })
        })
        .count();
    if unjudged > 0 {
        parts.push(format!(
            "For {unjudged} of the runners no study gives the error of this test for their sex and \
             age, so their change is shown without doubt or verdict; your own repeat pairs would \
             close that gap."
        ));
    }
    let date = m.day.facts.date;
    parts.extend(m.levels.as_ref().and_then(|levels| levels.day_words(date)));
    if let Some(deviation) = &m.day.facts.deviation {
        parts.push(format!("Not as defined: {deviation}."));
    }
    parts.join(" ")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + letters.as_str()
    })
}
