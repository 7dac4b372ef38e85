//! Whether a value fits a column, and how to say that it does not.
//! Must be the only judge of that: writing, restoring and checking all ask here.

use jiff::civil::{Date, Time};
use uuid::Uuid;

use super::{Column, DOCUMENT_LIMIT, Kind};
use crate::db::V;

/// Longest value that is shown whole in a message, in characters.
const SHOWN: usize = 80;

/// Returns what may stand in the column when the value may not; nothing when it fits.
pub(crate) fn objection(column: &Column, value: &V) -> Option<String> {
    let fits = match (column.kind, value) {
        (_, V::Null) => column.optional,
        (Kind::Id | Kind::Ref(_), V::T(text)) => {
            Uuid::try_parse(text).is_ok_and(|id| id.hyphenated().to_string() == *text)
        }
        (Kind::Seq | Kind::SeqRef, V::I(number)) => *number >= 1,
        (Kind::Text, V::T(text)) => !text.trim().is_empty() && !text.contains('\0'),
        (Kind::Word(words), V::T(text)) => words.contains(&text.as_str()),
        (Kind::Int(low, high), V::I(number)) => (low..=high).contains(number),
        (Kind::Real(low, high), V::F(number)) => (low..=high).contains(number),
        (Kind::Flag, V::I(number)) => matches!(number, 0 | 1),
        (Kind::Date, V::T(text)) => text.parse::<Date>().is_ok_and(|d| d.to_string() == *text),
        (Kind::Time, V::T(text)) => text.parse::<Time>().is_ok_and(|t| t.to_string() == *text),
        (Kind::Instant, V::I(_)) => true,
        (Kind::Hash, V::T(text)) => {
            text.len() == 64 && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
        }
        (Kind::Json, V::T(text)) => {
            !text.contains('\0') && serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok()
        }
        (Kind::Document, V::T(text)) => is_document(text),
        _ => false,
    };
    (!fits).then(|| allowed(column))
}

/// Returns whether a text is a document of a version that is known; the rest of it is not looked at.
fn is_document(text: &str) -> bool {
    #[derive(serde::Deserialize)]
    struct Head {
        format: u32,
    }
    let object = text.trim_start().starts_with('{') && !text.contains('\0');
    text.len() <= DOCUMENT_LIMIT
        && object
        && serde_json::from_str::<Head>(text).is_ok_and(|head| head.format == 1)
}

/// Returns in words what may stand in a column.
pub(super) fn allowed(column: &Column) -> String {
    let kind = match column.kind {
        Kind::Id => "an id (UUID, lower case)".to_owned(),
        Kind::Ref(table) => format!("the id (UUID, lower case) of a row of `{table}`"),
        Kind::Seq => "a whole number from 1".to_owned(),
        Kind::SeqRef => "the number of a row of `change`".to_owned(),
        Kind::Text => "text".to_owned(),
        Kind::Word(words) => words.join(", "),
        Kind::Int(1, i64::MAX) => "a whole number from 1".to_owned(),
        Kind::Int(0, i64::MAX) => "a whole number from 0".to_owned(),
        Kind::Int(low, high) => format!("a whole number from {low} to {high}"),
        Kind::Real(low, high) => format!("a number from {low} to {high}"),
        Kind::Flag => "0 or 1".to_owned(),
        Kind::Date => "a date as YYYY-MM-DD".to_owned(),
        Kind::Time => "a time of day as HH:MM:SS".to_owned(),
        Kind::Instant => "whole milliseconds since 1970-01-01 UTC".to_owned(),
        Kind::Hash => "64 lower-case hexadecimal digits".to_owned(),
        Kind::Json => "JSON".to_owned(),
        Kind::Document => "a JSON object with `format` 1, at most 4 MiB".to_owned(),
    };
    if column.optional {
        format!("{kind}, or nothing")
    } else {
        kind
    }
}

/// Returns the value as a message shows it.
pub(crate) fn shown(value: &V) -> String {
    match value {
        V::Null => "nothing".to_owned(),
        V::I(number) => format!("`{number}`"),
        V::F(number) => format!("`{number}`"),
        V::T(text) if text.trim().is_empty() => "blank text".to_owned(),
        V::T(text) if text.chars().count() > SHOWN => {
            let start: String = text.chars().take(SHOWN).collect();
            format!("`{}…`", start.escape_debug())
        }
        V::T(text) => format!("`{}`", text.escape_debug()),
        V::B(bytes) => format!("{} bytes that are not text", bytes.len()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{RESULT, SOUND_CHECK, Table};
    use super::*;

    fn of(table: &Table, name: &str) -> Column {
        table.columns[table.position(name).expect("the column is there")]
    }

    #[test]
    fn limits_are_included_and_what_is_past_them_is_refused() {
        let sleep = of(&RESULT, "sleep_h");
        assert_eq!(objection(&sleep, &V::F(0.0)), None);
        assert_eq!(objection(&sleep, &V::F(48.0)), None);
        for bad in [
            V::F(48.1),
            V::F(-0.1),
            V::F(f64::NAN),
            V::I(8),
            V::T("8".into()),
        ] {
            assert_eq!(
                objection(&sleep, &bad),
                Some("a number from 0 to 48, or nothing".to_owned()),
                "{bad:?}"
            );
        }
    }

    #[test]
    fn dates_times_and_ids_have_one_spelling() {
        let cases = [
            ("time_of_day", "17:00:00", "17:00"),
            (
                "id",
                "0190f5a0-0000-7000-8000-000000000001",
                "0190F5A0-0000-7000-8000-000000000001",
            ),
            ("reason", "injury", "Injury"),
            ("bib", "12", ""),
        ];
        for (name, good, bad) in cases {
            let column = of(&RESULT, name);
            assert_eq!(objection(&column, &V::from(good)), None, "{name}");
            assert!(objection(&column, &V::from(bad)).is_some(), "{name}");
        }
    }

    #[test]
    fn a_document_is_an_object_of_format_1_within_its_size() {
        let column = of(&SOUND_CHECK, "heard");
        let padded = |size: usize| format!("{{\"format\":1,\"x\":\"{}\"}}", "y".repeat(size - 19));
        for good in ["{\"format\":1}".to_owned(), padded(DOCUMENT_LIMIT)] {
            assert_eq!(objection(&column, &V::T(good)), None);
        }
        let deep = format!("{{\"format\":1,\"x\":{}", "[".repeat(100_000));
        for bad in [
            "",
            "[1]",
            "{}",
            "{\"format\":2}",
            "{\"format\":\"1\"}",
            "{\"format\":1",
            "{\"format\":1} {}",
            &deep,
            &padded(DOCUMENT_LIMIT + 1),
        ] {
            assert_eq!(
                objection(&column, &V::from(bad)),
                Some("a JSON object with `format` 1, at most 4 MiB".to_owned()),
                "{bad:.40}"
            );
        }
    }
}
