//! Spanned TOML tables that remember which keys were read, and a list of faults.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::error::{DefinitionError, DefinitionErrors};

/// A value with its place in the file.
pub(super) type Value<'i> = Spanned<DeValue<'i>>;

/// Faults found so far, with what is needed to say where they are.
pub(super) struct Faults<'t> {
    file: &'t str,
    text: &'t str,
    list: Vec<(usize, DefinitionError)>,
}

impl<'t> Faults<'t> {
    /// Returns an empty list for a file.
    pub(super) const fn new(file: &'t str, text: &'t str) -> Self {
        Self {
            file,
            text,
            list: Vec::new(),
        }
    }

    /// Adds a fault at a place.
    pub(super) fn add(&mut self, at: &Range<usize>, message: String, hint: String) {
        let before = self.text.get(..at.start).unwrap_or(self.text);
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        self.list.push((
            at.start,
            DefinitionError {
                file: self.file.to_owned(),
                line: before.matches('\n').count() + 1,
                column: before.get(line_start..).unwrap_or("").chars().count() + 1,
                message,
                hint,
            },
        ));
    }

    /// Returns whether nothing is wrong so far.
    pub(super) const fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Returns the faults in the order of the file.
    pub(super) fn into_errors(mut self) -> DefinitionErrors {
        self.list.sort_by_key(|(at, _)| *at);
        DefinitionErrors(self.list.into_iter().map(|(_, e)| e).collect())
    }
}

/// One table: its entries, its name for messages, and where it stands.
pub(super) struct Table<'i> {
    entries: Vec<(String, Range<usize>, Option<Value<'i>>)>,
    known: Vec<&'static str>,
    /// How messages call it.
    pub(super) name: String,
    /// Where it stands.
    pub(super) span: Range<usize>,
}

impl<'i> Table<'i> {
    /// Wraps a parsed table.
    pub(super) fn new(table: DeTable<'i>, name: &str, span: Range<usize>) -> Self {
        let entries = table
            .into_iter()
            .map(|(key, value)| (key.get_ref().to_string(), key.span(), Some(value)))
            .collect();
        Self {
            entries,
            known: Vec::new(),
            name: name.to_owned(),
            span,
        }
    }

    /// Takes the value of a key out, if it is there.
    pub(super) fn take(&mut self, key: &'static str) -> Option<Value<'i>> {
        self.known.push(key);
        self.entries
            .iter_mut()
            .find(|(k, ..)| k == key)
            .and_then(|(.., value)| value.take())
    }

    /// Takes the value of a key that must be there; a fault is added when it is not.
    pub(super) fn need(
        &mut self,
        key: &'static str,
        why: &str,
        f: &mut Faults<'_>,
    ) -> Option<Value<'i>> {
        let value = self.take(key);
        if value.is_none() {
            f.add(
                &self.span,
                format!("{} has no `{key}`", self.name),
                format!("add `{key}`: {why}"),
            );
        }
        value
    }

    /// Adds a fault for every key that nothing asked for.
    pub(super) fn finish(self, f: &mut Faults<'_>) {
        for (key, span, value) in &self.entries {
            if value.is_none() {
                continue;
            }
            let nearest = self
                .known
                .iter()
                .map(|k| (strsim::damerau_levenshtein(key, k), *k))
                .min()
                .filter(|(distance, _)| *distance <= 3);
            let mut known = self.known.clone();
            known.sort_unstable();
            known.dedup();
            let hint = match nearest {
                Some((_, near)) => format!("did you mean `{near}`?"),
                None => format!("keys known here: {}", known.join(", ")),
            };
            f.add(span, format!("unknown key `{key}` in {}", self.name), hint);
        }
    }
}

/// Returns what a value is, for messages.
pub(super) fn kind(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(s) => format!("the text \"{s}\""),
        DeValue::Integer(i) => format!("the number {i}"),
        DeValue::Float(x) => format!("the number {x}"),
        DeValue::Boolean(b) => format!("`{b}`"),
        DeValue::Datetime(d) => format!("the date or time {d}"),
        DeValue::Array(a) => format!("a list of {}", a.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// Returns a table out of a value, or adds a fault.
pub(super) fn table<'i>(value: Value<'i>, name: &str, f: &mut Faults<'_>) -> Option<Table<'i>> {
    let span = value.span();
    match value.into_inner() {
        DeValue::Table(t) => Some(Table::new(t, name, span)),
        other => {
            f.add(
                &span,
                format!("{name} is {}, not a table", kind(&other)),
                format!("write [{name}] and its keys below"),
            );
            None
        }
    }
}

/// Returns a list of tables out of a value (`[[name]]`), or adds a fault.
pub(super) fn tables<'i>(
    value: Option<Value<'i>>,
    name: &str,
    f: &mut Faults<'_>,
) -> Vec<Table<'i>> {
    let Some(value) = value else {
        return Vec::new();
    };
    let span = value.span();
    match value.into_inner() {
        DeValue::Array(list) => list
            .into_iter()
            .enumerate()
            .filter_map(|(i, item)| table(item, &format!("{name} {}", i + 1), f))
            .collect(),
        other => {
            f.add(
                &span,
                format!("{name} is {}, not a list of tables", kind(&other)),
                format!("write [[{name}]] before each one"),
            );
            Vec::new()
        }
    }
}
