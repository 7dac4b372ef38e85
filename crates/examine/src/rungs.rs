//! Ladders as flat tables for fast look-up: label, distance, finish and speed of every bout.
//! Built from the catalogue of `plimsoll-ladder`; nothing about a test is stated here.

use std::collections::HashMap;

use plimsoll_ladder::{Catalogue, Shape};

/// One bout of a ladder.
#[derive(Debug, Clone)]
pub(crate) struct Rung {
    /// Label as written.
    pub label: String,
    /// Stage, as an index into [`Table::stage_labels`].
    pub stage: usize,
    /// Distance at its finish, metres.
    pub distance_m: f64,
    /// Finish, seconds from the first start.
    pub finish_s: f64,
    /// Speed, km/h.
    pub speed_kmh: f64,
}

/// The ladder of one paced test.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    /// Id of the test.
    pub id: String,
    /// Bouts in running order; bout 1 is at 0.
    pub rungs: Vec<Rung>,
    /// Stage labels in running order.
    pub stage_labels: Vec<String>,
    /// Length of a leg, metres, where it is the same throughout.
    pub leg_m: Option<f64>,
    /// Whether distances are whole steps of the course; not so where runs are timed.
    pub whole_steps: bool,
    /// Prior weight before any evidence.
    pub prior: f64,
    /// Whether the test asks for a maximal effort.
    pub maximal: bool,
    /// Whether the running is continuous, and whether it goes round a loop.
    pub continuous: Option<bool>,
    by_label: HashMap<String, usize>,
}

/// A submaximal form shares its rungs with the start of its maximal one and is rarer in archives
/// of scores. Chosen, no source.
const SUBMAXIMAL_PRIOR: f64 = 0.2;

impl Table {
    /// Returns the number of bouts.
    pub fn len(&self) -> usize {
        self.rungs.len()
    }

    /// Returns the index of the bout with this label.
    pub fn by_label(&self, label: &str) -> Option<usize> {
        self.by_label.get(label).copied()
    }

    /// Returns the index of the bout that ends at this distance, within half a metre.
    ///
    /// Half a metre: sheets give timed-run distances in whole metres. Steps are 16 m or longer.
    pub fn by_distance(&self, metres: f64) -> Option<usize> {
        let at = self.rungs.partition_point(|r| r.distance_m < metres - 0.5);
        self.rungs
            .get(at)
            .filter(|r| (r.distance_m - metres).abs() <= 0.5 + 1e-9)
            .map(|_| at)
    }

    /// Returns the bout at an index.
    pub fn rung(&self, index: usize) -> Option<&Rung> {
        self.rungs.get(index)
    }

    /// Returns the distance at the end, metres.
    pub fn end_m(&self) -> f64 {
        self.rungs.last().map_or(0.0, |r| r.distance_m)
    }

    /// Returns the labels of the first and the last bout.
    pub fn label_span(&self) -> (&str, &str) {
        (
            self.rungs.first().map_or("", |r| r.label.as_str()),
            self.rungs.last().map_or("", |r| r.label.as_str()),
        )
    }

    /// Returns the indexes of the bouts of the stage in which a bout lies.
    pub fn stage_range(&self, index: usize) -> std::ops::Range<usize> {
        let Some(stage) = self.rung(index).map(|r| r.stage) else {
            return 0..0;
        };
        let start = self.rungs.partition_point(|r| r.stage < stage);
        let end = self.rungs.partition_point(|r| r.stage <= stage);
        start..end
    }

    /// Returns the step between the two distances that bracket one, metres.
    pub fn steps_around(&self, metres: f64) -> (f64, f64) {
        let at = self.rungs.partition_point(|r| r.distance_m < metres);
        let below = at
            .checked_sub(1)
            .and_then(|i| self.rung(i))
            .map_or(0.0, |r| r.distance_m);
        let above = self.rung(at).map_or_else(|| self.end_m(), |r| r.distance_m);
        (below, above)
    }
}

/// One test of the catalogue, paced or not.
#[derive(Debug, Clone)]
pub(crate) struct Known {
    /// Id.
    pub id: String,
    /// Descriptive name.
    pub name: String,
    /// Shape.
    pub shape: Shape,
    /// Index of its table, when it is paced.
    pub table: Option<usize>,
}

/// Every test, and the tables of the paced ones.
#[derive(Debug, Clone)]
pub(crate) struct Ladders {
    /// Tests in catalogue order.
    pub tests: Vec<Known>,
    /// Tables in catalogue order.
    pub tables: Vec<Table>,
}

impl Ladders {
    /// Flattens a catalogue.
    pub fn of(catalogue: &Catalogue) -> Self {
        let mut ladders = Self {
            tests: Vec::new(),
            tables: Vec::new(),
        };
        for test in catalogue.iter() {
            let mut known = Known {
                id: test.id().to_owned(),
                name: test.name().to_owned(),
                shape: test.shape(),
                table: None,
            };
            if let Some(ladder) = test.ladder() {
                let rungs: Vec<Rung> = ladder
                    .bouts()
                    .iter()
                    .map(|b| Rung {
                        label: b.label.clone(),
                        stage: b.stage,
                        distance_m: b.distance.as_m_f64(),
                        finish_s: b.finish.as_secs_f64(),
                        speed_kmh: b.speed.as_kmh_f64(),
                    })
                    .collect();
                let by_label = rungs
                    .iter()
                    .enumerate()
                    .map(|(i, r)| (r.label.clone(), i))
                    .collect();
                let definition = test.definition();
                known.table = Some(ladders.tables.len());
                ladders.tables.push(Table {
                    id: known.id.clone(),
                    rungs,
                    stage_labels: ladder.stages().iter().map(|s| s.label.clone()).collect(),
                    leg_m: definition
                        .course
                        .leg
                        .as_ref()
                        .filter(|_| definition.stages.iter().all(|s| s.leg.is_none()))
                        .map(|leg| leg.value.as_m_f64()),
                    whole_steps: test.shape() != Shape::TimedRuns,
                    prior: if definition.maximal {
                        1.0
                    } else {
                        SUBMAXIMAL_PRIOR
                    },
                    maximal: definition.maximal,
                    continuous: (test.shape() == Shape::Continuous)
                        .then_some(definition.course.is_loop),
                    by_label,
                });
            }
            ladders.tests.push(known);
        }
        ladders
    }

    /// Returns the index of the test with this id or name; case and punctuation do not matter.
    pub fn find(&self, word: &str) -> Option<usize> {
        let folded = crate::header::fold(word);
        self.tests
            .iter()
            .position(|t| t.id == word.trim())
            .or_else(|| {
                self.tests.iter().position(|t| {
                    crate::header::fold(&t.id) == folded || crate::header::fold(&t.name) == folded
                })
            })
    }

    /// Returns a table.
    pub fn table(&self, index: usize) -> Option<&Table> {
        self.tables.get(index)
    }

    /// Returns the places where a label exists, in catalogue order, as words.
    pub fn where_label(&self, label: &str) -> Vec<String> {
        self.tables
            .iter()
            .filter_map(|t| {
                let at = t.by_label(label)?;
                let rung = t.rung(at)?;
                Some(format!(
                    "{} (bout {}, {} m)",
                    t.id,
                    at + 1,
                    metres(rung.distance_m)
                ))
            })
            .collect()
    }
}

/// Writes metres without a needless fraction.
pub(crate) fn metres(value: f64) -> String {
    if (value - value.round()).abs() < 0.05 {
        format!("{:.0}", value)
    } else {
        format!("{value:.1}")
    }
}
