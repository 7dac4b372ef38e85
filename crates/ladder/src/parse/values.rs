//! Typed values out of spanned TOML: numbers exactly, words from a list, ranges checked.

use toml::de::DeValue;

use super::reader::{Faults, Table, Value, kind, table};
use crate::confidence::Confidence;
use crate::decimal::scaled;
use crate::definition::Sourced;
use crate::units::{Length, Span, Speed};

/// What a value may be: the unit it is written in, its range in that unit, its scale.
pub(super) struct Range {
    unit: &'static str,
    low: u64,
    high: u64,
    places: usize,
}

/// Leg lengths, zones, recovery strips: millimetres to 2 km.
pub(super) const METRES: Range = Range {
    unit: "m",
    low: 0,
    high: 2_000,
    places: 3,
};
/// Distances of runs for time: up to 100 km.
pub(super) const RUN_METRES: Range = Range {
    unit: "m",
    low: 0,
    high: 100_000,
    places: 3,
};
/// Running speeds. The top is above any runner and far below what overflows.
pub(super) const KMH: Range = Range {
    unit: "km/h",
    low: 0,
    high: 60,
    places: 6,
};
/// Times, to the millisecond and up to a day.
pub(super) const SECONDS: Range = Range {
    unit: "s",
    low: 0,
    high: 86_400,
    places: 3,
};

/// Returns a whole number in a range, scaled by its places, or adds a fault.
fn number(
    value: &Value<'_>,
    name: &str,
    range: &Range,
    zero_ok: bool,
    f: &mut Faults<'_>,
) -> Option<u64> {
    let text = match value.get_ref() {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str().to_owned(),
        DeValue::Float(x) => x.as_str().to_owned(),
        other => {
            let hint = format!(
                "write a plain number in {}, such as {}",
                range.unit,
                range.high.min(20)
            );
            f.add(
                &value.span(),
                format!("`{name}` is {}, not a number", kind(other)),
                hint,
            );
            return None;
        }
    };
    let scale = 10_u64.pow(u32::try_from(range.places).unwrap_or(0));
    let least = if zero_ok {
        range.low * scale
    } else {
        (range.low * scale).max(1)
    };
    match scaled(&text, range.places) {
        Some(n) if n >= least && n <= range.high * scale => Some(n),
        _ => {
            let from = if zero_ok {
                format!("{}", range.low)
            } else {
                format!("above {}", range.low)
            };
            f.add(
                &value.span(),
                format!(
                    "`{name}` is {text}; allowed is {from} to {} {}",
                    range.high, range.unit
                )
                .trim_end()
                .to_owned(),
                if range.places == 0 {
                    "write a whole number without sign or decimals".to_owned()
                } else {
                    format!(
                        "the unit is {}; at most {} decimals, no exponent, no sign",
                        range.unit, range.places
                    )
                },
            );
            None
        }
    }
}

/// Returns a length above zero.
pub(super) fn length(
    v: &Value<'_>,
    name: &str,
    range: &Range,
    f: &mut Faults<'_>,
) -> Option<Length> {
    number(v, name, range, false, f).map(Length::from_mm)
}

/// Returns a length; zero is allowed.
pub(super) fn place(v: &Value<'_>, name: &str, f: &mut Faults<'_>) -> Option<Length> {
    number(v, name, &METRES, true, f).map(Length::from_mm)
}

/// Returns a speed above zero.
pub(super) fn speed(v: &Value<'_>, name: &str, f: &mut Faults<'_>) -> Option<Speed> {
    number(v, name, &KMH, false, f).map(Speed::from_mm_per_h)
}

/// Returns a time; zero is allowed.
pub(super) fn span(v: &Value<'_>, name: &str, f: &mut Faults<'_>) -> Option<Span> {
    let millis = number(v, name, &SECONDS, true, f)?;
    i64::try_from(millis).ok().map(Span::from_millis)
}

/// Returns a count between 1 and `high`.
pub(super) fn count(v: &Value<'_>, name: &str, high: u32, f: &mut Faults<'_>) -> Option<u32> {
    let range = Range {
        unit: "",
        low: 0,
        high: u64::from(high),
        places: 0,
    };
    number(v, name, &range, false, f).and_then(|n| u32::try_from(n).ok())
}

/// Returns a text that is not empty.
pub(super) fn text(v: &Value<'_>, name: &str, f: &mut Faults<'_>) -> Option<String> {
    match v.get_ref() {
        DeValue::String(s) if !s.trim().is_empty() && s.chars().count() <= 4_000 => {
            Some(s.to_string())
        }
        DeValue::String(_) => {
            f.add(
                &v.span(),
                format!("`{name}` is empty or longer than 4 000 characters"),
                "write a short text".to_owned(),
            );
            None
        }
        other => {
            let hint = if name == "label" {
                "put it in quotes: a label is text, so that 14.10 is not read as 14.1"
            } else {
                "put it in quotes"
            };
            f.add(
                &v.span(),
                format!("`{name}` is {}, not a text", kind(other)),
                hint.to_owned(),
            );
            None
        }
    }
}

/// Returns yes or no.
pub(super) fn flag(v: &Value<'_>, name: &str, f: &mut Faults<'_>) -> Option<bool> {
    match v.get_ref() {
        DeValue::Boolean(b) => Some(*b),
        other => {
            f.add(
                &v.span(),
                format!("`{name}` is {}, not true or false", kind(other)),
                "write true or false without quotes".to_owned(),
            );
            None
        }
    }
}

/// Returns what a word from a fixed list stands for.
pub(super) fn word<T: Copy>(
    v: &Value<'_>,
    name: &str,
    list: &[(T, &str)],
    f: &mut Faults<'_>,
) -> Option<T> {
    let found = text(v, name, f)?;
    let hit = list.iter().find(|(_, w)| *w == found).map(|(t, _)| *t);
    if hit.is_none() {
        let words: Vec<&str> = list.iter().map(|(_, w)| *w).collect();
        f.add(
            &v.span(),
            format!("`{name}` is \"{found}\""),
            format!("use one of {}", words.join(", ")),
        );
    }
    hit
}

/// Returns a list, each item read by `item`.
pub(super) fn list<T>(
    v: &Value<'_>,
    name: &str,
    f: &mut Faults<'_>,
    mut item: impl FnMut(&Value<'_>, &mut Faults<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    match v.get_ref() {
        DeValue::Array(values) if !values.is_empty() && values.len() <= 1_000 => {
            values.iter().map(|value| item(value, f)).collect()
        }
        other => {
            f.add(
                &v.span(),
                format!("`{name}` is {}, not a list of 1 to 1 000", kind(other)),
                "write [first, second, …]".to_owned(),
            );
            None
        }
    }
}

/// Reads `confidence` and `sources` of a table.
pub(super) fn provenance(
    t: &mut Table<'_>,
    keys: &[String],
    f: &mut Faults<'_>,
) -> Option<(Confidence, Vec<String>)> {
    let levels = Confidence::ALL.map(|c| (c, c.as_str()));
    let stated = t.need(
        "confidence",
        "how the value was obtained, such as \"source read\" or \"from memory\"",
        f,
    );
    let stated_at = stated.as_ref().map(|v| v.span());
    let confidence = stated.and_then(|v| word(&v, "confidence", &levels, f));
    let mut sources = Vec::new();
    if let Some(v) = t.take("sources") {
        let empty = matches!(v.get_ref(), DeValue::Array(a) if a.is_empty());
        if !empty {
            sources = list(&v, "sources", f, |item, f| {
                let key = text(item, "sources", f)?;
                if !keys.contains(&key) {
                    f.add(
                        &item.span(),
                        format!("no source has the key \"{key}\""),
                        "add a [[source]] with key, cite and seen, or correct the key".to_owned(),
                    );
                }
                Some(key)
            })?;
        }
    }
    let confidence = confidence?;
    if confidence.needs_source() && sources.is_empty() {
        let at = stated_at.unwrap_or_else(|| t.span.clone());
        f.add(&at, format!("{} is tagged \"{confidence}\" but names no source", t.name), "add `sources = [\"KEY\"]`, or tag it \"common practice, no source\" or \"from memory\"".to_owned());
    }
    Some((confidence, sources))
}

/// Reads `{ value = …, confidence = …, sources = […] }`.
pub(super) fn sourced<T>(
    parent: &mut Table<'_>,
    key: &'static str,
    keys: &[String],
    f: &mut Faults<'_>,
    read: impl FnOnce(&Value<'_>, &mut Faults<'_>) -> Option<T>,
) -> Option<Sourced<T>> {
    let value = parent.take(key)?;
    if !matches!(value.get_ref(), DeValue::Table(_)) {
        f.add(
            &value.span(),
            format!(
                "`{key}` is {}; a bare value says nothing about where it comes from",
                kind(value.get_ref())
            ),
            format!("write {key} = {{ value = …, confidence = \"…\", sources = [\"…\"] }}"),
        );
        return None;
    }
    let mut t = table(value, key, f)?;
    let inner = t
        .need("value", "the value itself", f)
        .and_then(|v| read(&v, f));
    let tags = provenance(&mut t, keys, f);
    t.finish(f);
    let (confidence, sources) = tags?;
    Some(Sourced {
        value: inner?,
        confidence,
        sources,
    })
}
