//! Everything the reference files say, loaded once.
//! Loads all files or none; a user's files stand beside the built-in ones.

use std::collections::BTreeMap;

use super::builtin::FILES;
use super::header::{Header, Origin};
use super::{
    DefaultError, Effect, IntervalFormat, Population, ReliabilityStudy, TestScale, TrainingBasis,
    Work, effects, population, reliability, training, works,
};
use crate::InterpretError;
use crate::equations::Equation;

const KINDS: &str = "population, reliability, defaults, scales, effects, bibliography, intervals, bases \
                     or equations";

/// The loaded references.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Catalogue {
    /// Reference populations.
    pub populations: Vec<Population>,
    /// Reliability studies.
    pub studies: Vec<ReliabilityStudy>,
    /// Default typical errors.
    pub defaults: Vec<DefaultError>,
    /// Scales of the tests; a later row for a test stands before an earlier one.
    pub scales: Vec<TestScale>,
    /// Effects of conditions.
    pub effects: Vec<Effect>,
    /// Works cited.
    pub works: Vec<Work>,
    /// Prediction equations.
    pub equations: Vec<Equation>,
    /// Interval formats; a later row for a format stands before an earlier one.
    pub intervals: Vec<IntervalFormat>,
    /// What each test's final speed stands for; a later row for a test stands before an earlier one.
    pub bases: Vec<TrainingBasis>,
    ids: Vec<(String, String)>,
}

impl Catalogue {
    /// Returns the catalogue that is part of the program.
    pub fn built_in() -> Result<Self, InterpretError> {
        let mut catalogue = Self::default();
        catalogue.load(FILES.iter().copied(), Origin::BuiltIn)?;
        Ok(catalogue)
    }

    /// Adds a user's own files, given as (name, text). Names that end in neither `.toml` nor
    /// `.csv` are passed over. On a fault nothing is added.
    pub fn add<'a>(
        &mut self,
        files: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Result<(), InterpretError> {
        let mut with_user = self.clone();
        with_user.load(files, Origin::User)?;
        *self = with_user;
        Ok(())
    }

    /// Returns how results of a test are compared, if that is known.
    pub fn scale(&self, test: &str) -> Option<&TestScale> {
        self.scales.iter().rev().find(|scale| scale.test == test)
    }

    /// Returns the interval format of this name, if there is one.
    pub fn interval(&self, format: &str) -> Option<&IntervalFormat> {
        self.intervals.iter().rev().find(|i| i.format == format)
    }

    /// Returns what the final speed of a test stands for, if that is known.
    pub fn basis(&self, test: &str) -> Option<&TrainingBasis> {
        self.bases.iter().rev().find(|basis| basis.test == test)
    }

    fn load<'a>(
        &mut self,
        files: impl IntoIterator<Item = (&'a str, &'a str)>,
        origin: Origin,
    ) -> Result<(), InterpretError> {
        let (mut headers, mut tables) = (BTreeMap::new(), BTreeMap::new());
        for (name, text) in files {
            if let Some(stem) = name.strip_suffix(".toml") {
                headers.insert(stem, (name, text));
            } else if let Some(stem) = name.strip_suffix(".csv") {
                tables.insert(stem, (name, text));
            }
        }
        for (stem, (name, text)) in headers {
            let header = Header::parse(name, text)?;
            self.claim(name, &header)?;
            self.take(name, header, tables.remove(stem), stem, origin)?;
        }
        if let Some((stem, (name, _))) = tables.into_iter().next() {
            return Err(InterpretError::Partner {
                file: name.to_owned(),
                missing: format!("{stem}.toml"),
            });
        }
        Ok(())
    }

    fn claim(&mut self, file: &str, header: &Header) -> Result<(), InterpretError> {
        let claim = (header.kind.clone(), header.id.clone());
        if self.ids.contains(&claim) {
            return Err(InterpretError::SameId {
                file: file.to_owned(),
                id: claim.1,
                kind: claim.0,
            });
        }
        self.ids.push(claim);
        Ok(())
    }

    fn take(
        &mut self,
        name: &str,
        header: Header,
        table: Option<(&str, &str)>,
        stem: &str,
        origin: Origin,
    ) -> Result<(), InterpretError> {
        if header.kind == "equations" {
            for equation in header.equation {
                equation.check(name)?;
                if self.equations.iter().any(|known| known.id == equation.id) {
                    return Err(InterpretError::SameId {
                        file: name.to_owned(),
                        id: equation.id,
                        kind: "equations".to_owned(),
                    });
                }
                self.equations.push(equation);
            }
            return Ok(());
        }
        let (file, text) = table.ok_or_else(|| InterpretError::Partner {
            file: name.to_owned(),
            missing: format!("{stem}.csv"),
        })?;
        let found = match header.kind.as_str() {
            "population" => {
                let rows = population::rows(file, text)?;
                let provenance = header.provenance(name, origin)?;
                self.populations.push(Population { provenance, rows });
                self.populations.last().map_or(0, |p| p.rows.len())
            }
            "reliability" => {
                let rows = reliability::study(file, text)?;
                let provenance = header.provenance(name, origin)?;
                self.studies.push(ReliabilityStudy { provenance, rows });
                self.studies.last().map_or(0, |s| s.rows.len())
            }
            "defaults" => append(&mut self.defaults, reliability::defaults(file, text)?),
            "scales" => append(&mut self.scales, reliability::scales(file, text)?),
            "effects" => append(&mut self.effects, effects::effects(file, text)?),
            "intervals" => append(&mut self.intervals, training::intervals(file, text)?),
            "bases" => append(&mut self.bases, training::bases(file, text)?),
            "bibliography" => append(&mut self.works, works::works(file, text)?),
            other => {
                return Err(InterpretError::HeaderField {
                    file: name.to_owned(),
                    field: "kind",
                    found: other.to_owned(),
                    allowed: KINDS.to_owned(),
                });
            }
        };
        match header.rows {
            Some(rows) if rows != found => Err(InterpretError::HeaderField {
                file: name.to_owned(),
                field: "rows",
                found: rows.to_string(),
                allowed: format!("{found}, the number of rows in {file}"),
            }),
            _ => Ok(()),
        }
    }
}

fn append<T>(list: &mut Vec<T>, more: Vec<T>) -> usize {
    let found = more.len();
    list.extend(more);
    found
}
