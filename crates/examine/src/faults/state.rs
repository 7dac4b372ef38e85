//! What the detectors have established so far: findings, claimed rows, absences, places on ladders.
//! A row whose result is claimed by one fault is left alone by the later ones.

use std::collections::{BTreeMap, HashMap};

use jiff::civil::Date;

use super::code::Code;
use super::finding::{Correction, Draft, Findings};
use crate::case::Case;
use crate::forensics::{Conclusion, Evidence, LadderVerdict};
use crate::rules::Rule;
use crate::table::Note;

/// Where a row stands on a ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    /// Index of the ladder.
    pub table: usize,
    /// Completed bouts.
    pub bouts: u32,
}

/// Rows that are read against one ladder.
pub(crate) struct Group {
    /// Declared test.
    pub test: Option<usize>,
    /// Declared ladder.
    pub declared: Option<usize>,
    /// The evidence of its rows.
    pub evidence: Evidence,
    /// The conclusion from it.
    pub conclusion: Conclusion,
    /// Weighed rows in the order in which they were run.
    pub order: Vec<usize>,
}

/// What is left of the examination for the records: one entry for each data row or correction.
pub(crate) struct Settled {
    /// Where each row stands on a ladder.
    pub places: Vec<Option<Place>>,
    /// Test days corrected under a rule.
    pub days: HashMap<usize, Date>,
    /// Dates of birth corrected under a rule.
    pub births: HashMap<usize, Date>,
    /// Whether the ladder of rows without a declared test is known for sure.
    pub ladder_is_sure: bool,
}

/// What has been established so far.
pub(crate) struct State<'a> {
    /// What is examined.
    pub case: &'a Case<'a>,
    /// Findings.
    pub findings: Findings,
    /// Corrections made under rules.
    pub corrections: Vec<Correction>,
    /// Groups of rows with their ladders.
    pub groups: Vec<Group>,
    /// Remarks.
    pub notes: Vec<Note>,
    /// Test days corrected under a rule.
    pub days: HashMap<usize, Date>,
    /// Dates of birth corrected under a rule.
    pub births: HashMap<usize, Date>,
    /// Rows that were corrected.
    pub corrected: BTreeMap<usize, ()>,
    claimed: Vec<bool>,
    absent: Vec<bool>,
    places: Vec<Option<Place>>,
}

impl<'a> State<'a> {
    /// Starts with nothing established.
    pub fn new(case: &'a Case<'a>) -> Self {
        let n = case.rows();
        Self {
            case,
            findings: Findings::default(),
            corrections: Vec::new(),
            groups: Vec::new(),
            notes: Vec::new(),
            days: HashMap::new(),
            births: HashMap::new(),
            corrected: BTreeMap::new(),
            claimed: vec![false; n],
            absent: vec![false; n],
            places: vec![None; n],
        }
    }

    /// Returns what the records need.
    pub fn settle(self) -> Settled {
        let ladder_is_sure = self.groups.iter().filter(|g| g.test.is_none()).all(|g| {
            matches!(
                g.conclusion.verdict,
                LadderVerdict::Identified { .. } | LadderVerdict::Switch { .. }
            )
        });
        Settled {
            places: self.places,
            days: self.days,
            births: self.births,
            ladder_is_sure,
        }
    }

    /// Adds a finding; one that makes a result unusable claims its rows.
    pub fn report(&mut self, draft: Draft) {
        if claims(draft.code) {
            for row in &draft.rows {
                if let Some(flag) = self.claimed.get_mut(*row) {
                    *flag = true;
                }
            }
        }
        let case = self.case;
        self.findings.add(draft, |row| case.number(row));
    }

    /// Returns whether the result of a row is claimed by a fault.
    pub fn is_claimed(&self, row: usize) -> bool {
        self.claimed.get(row).copied().unwrap_or(false)
    }

    /// Notes that a row says there is no result.
    pub fn set_absent(&mut self, row: usize) {
        if let Some(flag) = self.absent.get_mut(row) {
            *flag = true;
        }
    }

    /// Returns whether a row says there is no result.
    pub fn is_absent(&self, row: usize) -> bool {
        self.absent.get(row).copied().unwrap_or(false)
    }

    /// Puts a row on a ladder.
    pub fn set_place(&mut self, row: usize, place: Place) {
        if let Some(slot) = self.places.get_mut(row) {
            *slot = Some(place);
        }
    }

    /// Returns where a row stands on a ladder.
    pub fn place(&self, row: usize) -> Option<Place> {
        self.places.get(row).copied().flatten()
    }

    /// Returns whether the caller allowed a rule.
    pub fn allows(&self, rule: Rule) -> bool {
        self.case.options.rules.contains(&rule)
    }

    /// Notes a correction.
    pub fn correct(
        &mut self,
        row: usize,
        column: String,
        before: String,
        after: String,
        rule: Rule,
    ) {
        self.corrected.insert(row, ());
        let row = self.case.number(row);
        self.corrections.push(Correction {
            row,
            column,
            before,
            after,
            rule,
        });
    }

    /// Adds a remark.
    pub fn note(&mut self, row: Option<usize>, text: String) {
        let row = row.map(|r| self.case.number(r));
        self.notes.push(Note { row, text });
    }

    /// Returns the day of a row, corrected where a rule did so.
    pub fn day(&self, row: usize) -> Option<Date> {
        self.days.get(&row).copied().or_else(|| self.case.day(row))
    }

    /// Returns the result of a row as a distance, metres, when nothing is wrong with it.
    pub fn distance_m(&self, row: usize) -> Option<f64> {
        if self.is_claimed(row) || self.is_absent(row) {
            return None;
        }
        if let Some(place) = self.place(row) {
            let index = (place.bouts as usize).checked_sub(1)?;
            return self
                .case
                .table(place.table)?
                .rung(index)
                .map(|r| r.distance_m);
        }
        self.case.observed(row).distance_m
    }
}

/// Returns whether a fault makes the result of a row unusable for the later detectors.
const fn claims(code: Code) -> bool {
    matches!(
        code,
        Code::LaddersMixed
            | Code::LabelDistanceDisagree
            | Code::BoutsPerStageDiffer
            | Code::OffByOne
            | Code::RowSlip
            | Code::CopiedDown
            | Code::LabelNotOnLadder
            | Code::TrailingZeroLost
            | Code::LabelBecameDate
            | Code::UnitMixed
            | Code::DistanceNotAStep
            | Code::BeyondLadderEnd
            | Code::ZeroForAbsent
            | Code::CellUnreadable
            | Code::ReasonMissingAfterDrop
            | Code::OutsideOwnHistory
            | Code::AttemptMissing
            | Code::TestUnknown
    )
}
