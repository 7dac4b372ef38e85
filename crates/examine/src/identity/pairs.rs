//! Finds the pairs worth comparing: people who share a birth date or the start of a word of the name.
//! Blocks that are too large to be informative are skipped, so the work stays near linear.

use std::collections::{HashMap, HashSet};

use jiff::civil::Date;

use super::score::{Entry, Suggestion, births_exclude, score};
use crate::header::fold;
use crate::options::KnownPerson;
use crate::people::{Person, fold_name};

/// Largest block in which everybody is compared with everybody.
const BLOCK: usize = 120;
/// Up to so many people, one shared word part is enough to be compared; beyond, two things must be shared.
const FEW: usize = 2_000;
/// Most pairs compared in all.
const MOST_PAIRS: usize = 3_000_000;
/// Probability from which a pair is suggested.
pub(crate) const ENOUGH: f64 = 0.5;

/// The other half of a suggested pair.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Other {
    /// Another person of the file.
    InFile(usize),
    /// A person of the roster.
    InRoster(usize),
}

/// Returns suggested pairs: index of the later person, the other, and the suggestion.
pub(crate) fn suggest(
    people: &[Person],
    roster: &[KnownPerson],
) -> Vec<(usize, Other, Suggestion)> {
    let list: Vec<usize> = people
        .iter()
        .enumerate()
        .filter(|(_, p)| p.named && p.rows > 0 && !p.folded.is_empty())
        .map(|(i, _)| i)
        .collect();
    let squads: Vec<Option<String>> = people
        .iter()
        .map(|p| p.squad.as_deref().map(fold))
        .collect();
    let mut squad_size: HashMap<&str, usize> = HashMap::new();
    for i in &list {
        if let Some(Some(squad)) = squads.get(*i) {
            *squad_size.entry(squad.as_str()).or_default() += 1;
        }
    }
    let known: Vec<(usize, String)> = roster
        .iter()
        .enumerate()
        .flat_map(|(i, k)| k.names.iter().map(move |n| (i, fold_name(n))))
        .collect();
    // Blocks as sorted pairs of a hashed key and an entry: entries of the file first, then of the roster.
    let mut blocks: Vec<(u64, bool, u32)> = Vec::new();
    let many = list.len() + known.len() > FEW;
    for i in &list {
        let Some(person) = people.get(*i) else {
            continue;
        };
        let squad = squads.get(*i).and_then(|s| s.as_deref());
        for key in keys(&person.folded, person.birth, squad, many) {
            blocks.push((key, false, *i as u32));
        }
    }
    for (k, (i, name)) in known.iter().enumerate() {
        let entry = roster.get(*i);
        let birth = entry.and_then(|p| p.birth_date);
        let squad = entry.and_then(|p| p.squads.first()).map(|s| fold(s));
        for key in keys(name, birth, squad.as_deref(), many) {
            blocks.push((key, true, k as u32));
        }
    }
    blocks.sort_unstable();
    let mut seen: HashSet<(usize, usize, bool)> = HashSet::new();
    let mut found: Vec<(usize, Other, Suggestion)> = Vec::new();
    let entry = |i: usize| -> Option<Entry<'_>> {
        let p = people.get(i)?;
        Some(Entry {
            name: &p.folded,
            birth: p.birth,
            squad: squads.get(i).and_then(|s| s.as_deref()),
            sex: p.sex,
        })
    };
    for block in blocks.chunk_by(|a, b| a.0 == b.0) {
        let split = block.partition_point(|e| !e.1);
        let entries = |part: Option<&[(u64, bool, u32)]>| -> Vec<usize> {
            part.unwrap_or_default()
                .iter()
                .map(|e| e.2 as usize)
                .collect()
        };
        if split > BLOCK && block.len() - split == 0 {
            continue;
        }
        let (here, there) = (entries(block.get(..split)), entries(block.get(split..)));
        if here.len() <= BLOCK {
            for (n, a) in here.iter().enumerate() {
                for b in here.iter().skip(n + 1) {
                    let (Some(x), Some(y)) = (entry(*a), entry(*b)) else {
                        continue;
                    };
                    if a == b
                        || births_exclude(x.birth, y.birth)
                        || seen.len() >= MOST_PAIRS
                        || !seen.insert((*a.min(b), *a.max(b), false))
                    {
                        continue;
                    }
                    // Different ids from one system are two people to that system.
                    let ids = |i: usize| people.get(i).and_then(|p| p.external.clone());
                    let others = match (x.squad, y.squad) {
                        (Some(p), Some(q)) if p == q => squad_size.get(p).copied().unwrap_or(1),
                        _ => list.len(),
                    };
                    let mut suggestion = score(&x, &y, others);
                    if let (Some(p), Some(q)) = (ids(*a), ids(*b)) {
                        suggestion.reasons.push(format!("ids `{p}` and `{q}`"));
                    }
                    if suggestion.probability >= ENOUGH {
                        found.push((*a.max(b), Other::InFile(*a.min(b)), suggestion));
                    }
                }
            }
        }
        if here.len() * there.len() > BLOCK * BLOCK {
            continue;
        }
        for a in &here {
            for k in &there {
                let Some((roster_index, name)) = known.get(*k) else {
                    continue;
                };
                let linked = people.get(*a).is_some_and(|p| p.known.is_some());
                let (Some(x), Some(person)) = (entry(*a), roster.get(*roster_index)) else {
                    continue;
                };
                if linked
                    || births_exclude(x.birth, person.birth_date)
                    || seen.len() >= MOST_PAIRS
                    || !seen.insert((*a, *k, true))
                {
                    continue;
                }
                let squad = person.squads.first().map(|s| fold(s));
                let y = Entry {
                    name,
                    birth: person.birth_date,
                    squad: squad.as_deref(),
                    sex: person.sex,
                };
                let suggestion = score(&x, &y, roster.len());
                if suggestion.probability >= ENOUGH {
                    found.push((*a, Other::InRoster(*roster_index), suggestion));
                }
            }
        }
    }
    found.sort_by(|a, b| {
        a.0.cmp(&b.0)
            .then(b.2.probability.total_cmp(&a.2.probability))
    });
    // One suggestion for each person: the likeliest.
    found.dedup_by_key(|f| f.0);
    found
}

/// Blocks of a person, hashed. Few people: birth date, and the first and last four letters of each
/// word of the name. Many: the whole name, and pairs of birth date or squad with the start of a word,
/// and of the starts of two words.
fn keys(name: &str, birth: Option<Date>, squad: Option<&str>, many: bool) -> Vec<u64> {
    let start = |kind: u8, word: &str, n: usize| hash(kind, word.chars().take(n));
    let words = || name.split(' ').filter(|w| w.chars().count() > 1);
    let birth = birth.map(|b| hash(3, b.to_string().chars()));
    let mut keys: Vec<u64> = Vec::new();
    if many {
        let mut sorted: Vec<&str> = words().collect();
        sorted.sort_unstable();
        keys.push(hash(4, sorted.iter().flat_map(|w| w.chars())));
        let squad = squad.map(|s| hash(5, s.chars()));
        for word in words() {
            keys.extend(birth.map(|b| b.rotate_left(7) ^ start(1, word, 2)));
            keys.extend(squad.map(|s| s.rotate_left(7) ^ start(1, word, 3)));
        }
        for pair in sorted.windows(2) {
            if let [a, b] = pair {
                keys.push(start(6, a, 3).rotate_left(7) ^ start(6, b, 3));
            }
        }
    } else {
        for word in words() {
            keys.push(start(1, word, 4));
            keys.push(hash(2, word.chars().rev().take(4)));
        }
        keys.extend(birth);
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// FNV-1a; a collision only makes one comparison more.
fn hash(kind: u8, text: impl Iterator<Item = char>) -> u64 {
    let start = 0xcbf2_9ce4_8422_2325_u64 ^ u64::from(kind);
    text.fold(start, |h, c| {
        (h ^ u64::from(u32::from(c))).wrapping_mul(0x0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(name: &str, birth: &str, row: usize) -> Person {
        Person {
            name: name.to_owned(),
            folded: fold_name(name),
            birth: birth.parse().ok(),
            external: None,
            squad: Some("U14".to_owned()),
            sex: None,
            named: true,
            first_row: row,
            rows: 1,
            known: None,
        }
    }

    #[test]
    fn the_changed_name_is_found_and_the_twins_are_not() {
        let people = vec![
            person("Jo Smith", "2012-03-04", 0),
            person("Ada Okafor", "2012-07-19", 1),
            person("Joanna Smith-Lee", "2012-03-04", 2),
            person("Kim Berg", "2012-05-05", 3),
            person("Tom Berg", "2012-05-05", 4),
        ];
        let found = suggest(&people, &[]);
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!((found[0].0, &found[0].1), (2, &Other::InFile(0)));
        assert!(found[0].2.reasons.iter().any(|r| r == "same date of birth"));
    }

    #[test]
    fn the_roster_is_searched_too() {
        let people = vec![person("Zoe Exampel", "2012-03-04", 0)];
        let roster = vec![KnownPerson {
            id: "p1".to_owned(),
            names: vec!["Zoë Example".to_owned()],
            birth_date: "2012-03-04".parse().ok(),
            ..KnownPerson::default()
        }];
        let found = suggest(&people, &roster);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].1, Other::InRoster(0));
    }
}
