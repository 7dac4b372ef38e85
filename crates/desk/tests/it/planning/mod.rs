//! Planning: the chooser, waves, retests, the watch list.

mod chooser;
mod lanes;
mod retests;
mod roster_file;
mod watching;

use plimsoll_desk::planning::{Athlete, Earlier, Roster};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;

pub fn catalogue() -> &'static Catalogue {
    static SHIPPED: std::sync::OnceLock<Catalogue> = std::sync::OnceLock::new();
    SHIPPED.get_or_init(Catalogue::built_in)
}

pub fn facts() -> &'static Facts {
    static SHIPPED: std::sync::OnceLock<Facts> = std::sync::OnceLock::new();
    SHIPPED.get_or_init(|| Facts::built_in().expect("shipped"))
}

/// Returns a roster with one result of a test each; none for a newcomer.
pub fn roster(test: &str, bouts: &[Option<u32>]) -> Roster {
    let athletes = bouts
        .iter()
        .zip(1..)
        .map(|(bouts, n): (_, i64)| Athlete {
            name: format!("Runner {n}"),
            person: Some(format!("p{n:03}")),
            earlier: bouts
                .map(|bouts| Earlier {
                    test: test.to_owned(),
                    bouts,
                    day: Some(20_000 + n),
                })
                .into_iter()
                .collect(),
            ..Athlete::default()
        })
        .collect();
    Roster {
        athletes,
        source: "a test".to_owned(),
    }
}
