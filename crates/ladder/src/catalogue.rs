//! All known tests: those that come with the program and, beside them, the user's own.

use std::collections::BTreeMap;

use crate::build;
use crate::definition::{Definition, LadderSource};
use crate::error::CatalogueError;
use crate::parse;
use crate::test::Test;

/// Makes the list of built-in files; a test compares it with the folder.
macro_rules! built_in {
    ($($id:literal),* $(,)?) => {
        /// File name and text of each built-in definition, in catalogue order.
        pub const BUILT_IN: &[(&str, &str)] = &[
            $((concat!($id, ".toml"), include_str!(concat!("../../../protocols/", $id, ".toml")))),*
        ];
    };
}

built_in![
    "ir1",
    "ir2",
    "ir1c",
    "ir1_sub6",
    "msr20",
    "msr20_2min",
    "msr20_fr",
    "msr20_whole",
    "msr20_whole_jp",
    "msr20_preschool",
    "msr40",
    "prog20",
    "int30_15_40",
    "int30_15_28",
    "int30_15_20",
    "track_2min",
    "track_1min",
    "int45_15",
    "int12_6",
    "run12",
    "run5",
    "run6",
    "shuttle5min20",
    "shuttle1200",
    "run_distance",
    "cs_trials",
    "cs_3min",
    "int15_15_10min",
    "rsa_6x40s",
    "rsa_7x30",
    "rsa_6x30",
    "rsa_5x30",
    "rsa_7x34",
    "rsa_12x30_35",
    "rsa_8x40s",
    "shuttle30s_x6",
];

/// All known tests, in catalogue order: built-in ones first.
#[derive(Debug)]
pub struct Catalogue {
    tests: Vec<Test>,
    index: BTreeMap<String, usize>,
}

impl Catalogue {
    /// Returns the built-in tests.
    ///
    /// # Panics
    ///
    /// Never in a program that passed its tests: they read every built-in definition.
    pub fn built_in() -> Self {
        Self::with_user_files(&[]).expect("the built-in definitions are tested")
    }

    /// Returns the built-in tests with a user's own beside them, as (file name, text).
    ///
    /// # Errors
    ///
    /// [`CatalogueError`] when a file has faults, takes an id that is in use, or builds on a
    /// definition that is not there.
    pub fn with_user_files(files: &[(String, String)]) -> Result<Self, CatalogueError> {
        let mut parsed = Vec::new();
        for (name, text) in BUILT_IN {
            parsed.push(((*name).to_owned(), true, parse::definition(name, text)?));
        }
        for (name, text) in files {
            parsed.push((name.clone(), false, parse::definition(name, text)?));
        }
        let mut owners: BTreeMap<String, String> = BTreeMap::new();
        for (file, built_in, definition) in &parsed {
            let owner = if *built_in {
                "a built-in definition".to_owned()
            } else {
                file.clone()
            };
            if let Some(other) = owners.insert(definition.id.clone(), owner) {
                let (file, id) = (file.clone(), definition.id.clone());
                return Err(CatalogueError::IdTaken { file, id, other });
            }
        }
        let own: BTreeMap<String, Definition> = parsed
            .iter()
            .map(|(_, _, d)| (d.id.clone(), d.clone()))
            .collect();
        let mut tests = Vec::new();
        for (file, built_in, definition) in parsed {
            let resolved = resolve(&file, definition, &own)?;
            tests.push(Test::new(resolved, built_in, file));
        }
        let index = tests
            .iter()
            .enumerate()
            .map(|(i, t)| (t.id().to_owned(), i))
            .collect();
        Ok(Self { tests, index })
    }

    /// Returns the test with this id.
    pub fn get(&self, id: &str) -> Option<&Test> {
        self.index.get(id).and_then(|i| self.tests.get(*i))
    }

    /// Returns every test in catalogue order.
    pub fn iter(&self) -> impl Iterator<Item = &Test> {
        self.tests.iter()
    }

    /// Returns the ids nearest to a word that is not one, best first, at most three.
    pub fn nearest(&self, word: &str) -> Vec<&str> {
        let mut scored: Vec<(usize, &str)> = self
            .iter()
            .map(|t| {
                (
                    strsim::damerau_levenshtein(&word.to_lowercase(), t.id()),
                    t.id(),
                )
            })
            .collect();
        scored.sort_unstable();
        scored.into_iter().take(3).map(|(_, id)| id).collect()
    }
}

/// Returns the definition with what it takes from its base filled in.
fn resolve(
    file: &str,
    mut definition: Definition,
    all: &BTreeMap<String, Definition>,
) -> Result<Definition, CatalogueError> {
    let LadderSource::Base {
        base: id,
        stop_after,
    } = &definition.ladder
    else {
        return Ok(definition);
    };
    let fault = |problem: &str| CatalogueError::Base {
        file: file.to_owned(),
        base: id.clone(),
        problem: problem.to_owned(),
        known: bases(all),
    };
    let base = all.get(id).ok_or_else(|| fault("no known definition"))?;
    if base.ladder != LadderSource::Own {
        return Err(fault("a definition that itself builds on another"));
    }
    if !base.shape.is_paced() {
        return Err(fault("a test that is not paced, so it has no ladder"));
    }
    if let Some(stop) = stop_after {
        let ladder = build::ladder(base);
        if ladder.is_none_or(|ladder| ladder.by_label(&stop.value).is_none()) {
            return Err(CatalogueError::StopAfter {
                file: file.to_owned(),
                label: stop.value.clone(),
                base: id.clone(),
                hint: format!("look at the labels with `plimsoll ladder {id}`"),
            });
        }
    }
    definition.shape = base.shape;
    definition.stage_is_label = base.stage_is_label;
    definition.stages.clone_from(&base.stages);
    inherit(&mut definition, base);
    Ok(definition)
}

/// Fills every setting that is not there from the base.
fn inherit(definition: &mut Definition, base: &Definition) {
    macro_rules! fill {
        ($part:ident: $($field:ident),*) => {
            $(if definition.$part.$field.is_none() {
                definition.$part.$field.clone_from(&base.$part.$field);
            })*
        };
    }
    fill!(course: leg, recovery_leg, lane_width, lines, zone, distances, description);
    fill!(pace: legs, recovery, run, turn_allowance, advance, start_speed, increment, max_legs);
    fill!(pace: repeats, cycle, marks);
    fill!(rules: miss_limit, miss_counting, last_incomplete_counts, scored_stage, countdown);
    fill!(rules: announcements);
    definition.course.is_loop = base.course.is_loop;
    if definition.rule_notes.is_empty() {
        definition.rule_notes.clone_from(&base.rule_notes);
    }
}

/// Returns the ids that may serve as a base.
fn bases(all: &BTreeMap<String, Definition>) -> String {
    let ids: Vec<&str> = all
        .values()
        .filter(|d| d.ladder == LadderSource::Own && d.shape.is_paced())
        .map(|d| d.id.as_str())
        .collect();
    ids.join(", ")
}
