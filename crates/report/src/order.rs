//! Alphabetical order of names, for tables and cards.
//! Must not depend on results: no table of this crate is a ranking.

use unicode_normalization::UnicodeNormalization;

use crate::model::AthleteLine;

/// Returns the places of the athletes in alphabetical order, marks and case ignored.
pub fn alphabetical(athletes: &[AthleteLine]) -> Vec<usize> {
    let mut places: Vec<usize> = (0..athletes.len()).collect();
    places.sort_by_cached_key(|&i| (fold(&athletes[i].name), athletes[i].id.clone()));
    places
}

fn fold(name: &str) -> String {
    let plain = name.nfd().filter(|c| !matches!(c, '\u{0300}'..='\u{036F}'));
    plain.flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_case_do_not_move_a_name() {
        let names = [
            "Öla Vetch",
            "Pia Sedge",
            "nils Moss",
            "Åke Alder",
            "Ana Rowan",
        ];
        let lines: Vec<AthleteLine> = names
            .map(|name| AthleteLine {
                name: name.to_owned(),
                ..AthleteLine::default()
            })
            .into();
        assert_eq!(alphabetical(&lines), [3, 4, 2, 0, 1]);
    }
}
