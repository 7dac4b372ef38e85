//! The list of sources that definitions name by key.

use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

/// A source: what it is and how much of it was seen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Key by which definitions name it.
    pub key: String,
    /// Authors, journal or body, year, volume, pages.
    pub cite: String,
    /// What of it was seen.
    pub seen: String,
}

/// The file's own shape.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    source: Vec<Source>,
}

/// Returns the sources that come with the program, by key.
pub fn built_in_sources() -> &'static [Source] {
    static SOURCES: OnceLock<Vec<Source>> = OnceLock::new();
    // A test reads this file, so it cannot fail to parse in a program that passed its tests.
    SOURCES.get_or_init(|| {
        toml::from_str::<File>(include_str!("../../../protocols/sources.toml"))
            .map(|file| file.source)
            .unwrap_or_default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_list_parses_and_has_unique_keys() {
        let file: File = toml::from_str(include_str!("../../../protocols/sources.toml"))
            .expect("protocols/sources.toml parses");
        let mut keys: Vec<_> = file.source.iter().map(|s| s.key.as_str()).collect();
        keys.sort_unstable();
        let n = keys.len();
        keys.dedup();
        assert!(n > 50);
        assert_eq!(n, keys.len());
    }
}
