//! Replaces letters that no font covers by a visible stand-in, and lists them.
//! Must not drop a letter silently, and must leave everything else as it was.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use unicode_segmentation::UnicodeSegmentation;

use crate::model::DayReport;

/// A letter that was replaced on the pages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replaced {
    /// Person in whose line it stood, as printed; empty for the report's own texts.
    pub person: String,
    /// Field in which it stood, e.g. "name".
    pub field: String,
    /// The letter.
    pub letter: char,
    /// Its code, e.g. "U+65E5".
    pub codepoint: String,
    /// What is printed instead, e.g. "[U+65E5]".
    pub stand_in: String,
}

/// Replaces what no font covers, and what no page file may hold.
///
/// `covers` says whether one font has all of the letters it is given: a letter and its marks must
/// come from the same font, or the engine cannot set them together.
pub fn screen(report: &DayReport, covers: &dyn Fn(&[char]) -> bool) -> (DayReport, Vec<Replaced>) {
    let (mut report, replaced) = screen_any(report, covers);
    for line in &mut report.athletes {
        if is_blank(&line.name) {
            line.name = format!("(no name, {})", line.id);
        }
    }
    (report, replaced)
}

/// Does for any of this crate's inputs what [`screen`] does for a report.
pub fn screen_any<T: Serialize + DeserializeOwned>(
    input: &T,
    covers: &dyn Fn(&[char]) -> bool,
) -> (T, Vec<Replaced>) {
    let change = |text: &str, found: &mut Vec<char>| screened(text, covers, found);
    let mut replaced = Vec::new();
    let rewritten = serde_json::to_value(input).and_then(|mut value| {
        walk(&mut value, &change, "", "", &mut replaced);
        serde_json::from_value(value)
    });
    let input: T = rewritten.expect("an input's own JSON reads back as the same input");
    (input, replaced)
}

/// Returns whether nothing of a text can be seen.
pub fn is_blank(text: &str) -> bool {
    text.chars().all(|c| c.is_whitespace() || is_ignorable(c))
}

/// Returns the list on the pages: one line a place with the codes of its letters.
pub fn list(replaced: &[Replaced]) -> Vec<Value> {
    let mut places: Vec<(String, Vec<&str>)> = Vec::new();
    for one in replaced {
        let place = if one.person.is_empty() {
            one.field.clone()
        } else {
            format!("{}: {}", one.person, one.field)
        };
        match places.iter_mut().find(|(known, _)| *known == place) {
            Some((_, codes)) => codes.push(&one.codepoint),
            None => places.push((place, vec![&one.codepoint])),
        }
    }
    places
        .into_iter()
        .map(|(place, codes)| json!({ "place": place, "codes": codes.join(", ") }))
        .collect()
}

/// Rewrites one text, cluster by cluster.
fn screened(text: &str, covers: &dyn Fn(&[char]) -> bool, found: &mut Vec<char>) -> String {
    let mut out = String::with_capacity(text.len());
    for cluster in text.graphemes(true) {
        let mut together: Vec<char> = Vec::new();
        for c in cluster.chars() {
            match c {
                '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => out.push(' '),
                '\u{FEFF}' => {}
                c if is_ignorable(c) || c == ' ' => out.push(c),
                c if is_forbidden(c) => {
                    out.push_str(&stand_in(c));
                    found.push(c);
                }
                c => {
                    together.push(c);
                    if covers(&together) {
                        out.push(c);
                    } else if c.is_whitespace() {
                        together.pop();
                        out.push(' ');
                    } else {
                        together.pop();
                        out.push_str(&stand_in(c));
                        found.push(c);
                    }
                }
            }
        }
    }
    out
}

fn stand_in(c: char) -> String {
    format!("[{}]", code(c))
}

fn code(c: char) -> String {
    format!("U+{:04X}", u32::from(c))
}

/// Characters that steer shaping and are never drawn themselves.
pub fn is_ignorable(c: char) -> bool {
    matches!(c,
        '\u{00AD}' | '\u{034F}' | '\u{061C}' | '\u{180B}'..='\u{180F}'
        | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}'
        | '\u{FE00}'..='\u{FE0F}' | '\u{E0000}'..='\u{E0FFF}')
}

/// Characters without a public meaning or shape: the standards forbid them.
fn is_forbidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{E000}'..='\u{F8FF}' | '\u{F0000}'..='\u{10FFFF}' | '\u{FFFE}' | '\u{FFFF}')
}

type Rewrite<'a> = &'a dyn Fn(&str, &mut Vec<char>) -> String;

fn walk(
    value: &mut Value,
    change: Rewrite<'_>,
    person: &str,
    field: &str,
    out: &mut Vec<Replaced>,
) {
    match value {
        Value::String(text) => {
            let mut found = Vec::new();
            *text = change(text, &mut found);
            for letter in found {
                let entry = Replaced {
                    person: if field == "name" {
                        text.clone()
                    } else {
                        person.to_owned()
                    },
                    field: field.replace('_', " "),
                    letter,
                    codepoint: code(letter),
                    stand_in: stand_in(letter),
                };
                if !out.contains(&entry) {
                    out.push(entry);
                }
            }
        }
        Value::Array(items) => {
            for item in items {
                walk(item, change, person, field, out);
            }
        }
        Value::Object(map) => {
            let own = ["name", "person"]
                .into_iter()
                .find_map(|key| map.get(key)?.as_str());
            let person =
                own.map_or_else(|| person.to_owned(), |name| change(name, &mut Vec::new()));
            let whole = map.contains_key("unit") && map.len() == 2;
            let person = if whole { String::new() } else { person };
            for (key, item) in map.iter_mut() {
                walk(item, change, &person, key, out);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_no_font_covers_become_visible_and_lines_become_spaces() {
        let covers = |letters: &[char]| letters.iter().all(char::is_ascii_graphic);
        let mut found = Vec::new();
        let text = screened("a日\n\u{7}\u{E000}\u{200D}\u{FEFF}z", &covers, &mut found);
        assert_eq!(text, "a[U+65E5] [U+0007][U+E000]\u{200D}z");
        assert_eq!(found, ['日', '\u{7}', '\u{E000}']);
    }

    #[test]
    fn a_mark_that_its_letters_font_lacks_becomes_visible() {
        // One font has the letter, another the mark; each covers its own only.
        let covers = |letters: &[char]| letters == ['李'] || letters == ['\u{302}'];
        let mut found = Vec::new();
        assert_eq!(screened("李\u{302}", &covers, &mut found), "李[U+0302]");
        assert_eq!(found, ['\u{302}']);
    }
}
