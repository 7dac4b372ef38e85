//! Gives very long words places to break, so that no cell overflows.
//! Must not change what is read: it inserts only invisible break places (U+200B).

use serde_json::Value;

use super::screen::is_ignorable;

/// Longest run without a break place, letters.
const LONGEST: usize = 22;
/// Letters between the places put into a longer run.
const EVERY: usize = 11;

/// Softens every text below `value`, except pictures, their alternatives and addresses.
pub fn all(mut value: Value) -> Value {
    walk(&mut value);
    value
}

fn walk(value: &mut Value) {
    match value {
        Value::String(text) => *text = soften(text),
        Value::Array(items) => items.iter_mut().for_each(walk),
        Value::Object(map) => {
            let texts = map
                .iter_mut()
                .filter(|(key, _)| !matches!(key.as_str(), "svg" | "alt" | "labels" | "url"));
            texts.for_each(|(_, item)| walk(item));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

fn soften(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for part in text.split_inclusive([' ', '-', ']', '\u{2013}']) {
        let long = part.chars().count() > LONGEST && part.chars().all(may_part);
        for (n, c) in part.chars().enumerate() {
            if long && n > 0 && n % EVERY == 0 && c != ' ' {
                out.push('\u{200B}');
            }
            out.push(c);
        }
    }
    out
}

/// Only scripts whose letters stand alone are parted; the others break by their own rules.
fn may_part(c: char) -> bool {
    u32::from(c) < 0x0300
        || matches!(c, '\u{0370}'..='\u{052F}' | '\u{1E00}'..='\u{1FFF}')
        || (matches!(c, '\u{2010}'..='\u{2027}' | '\u{202F}'..='\u{205E}') && !is_ignorable(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_very_long_words_get_break_places() {
        assert_eq!(soften("Sol Heron, 1 840 m"), "Sol Heron, 1 840 m");
        let long = soften(&"a".repeat(30));
        assert_eq!(long.matches('\u{200B}').count(), 2);
        assert_eq!(long.replace('\u{200B}', ""), "a".repeat(30));
        let codes = "[U+0E2A][U+0E21][U+0E0A][U+0E32]";
        assert_eq!(soften(codes), codes);
        let arabic = "م".repeat(40);
        assert_eq!(soften(&arabic), arabic);
    }
}
