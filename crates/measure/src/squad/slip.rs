//! Do the scores of a sheet stand on the right rows? Posterior of shifts and exchanges.
//! Names the likeliest edit for a look at the paper; changes nothing.
//! Model: `slip_edits`; derived, no source.

use super::slip_edits::{Edit, Sheet, common_gaps};
use crate::{MeasureError, check};

/// Most rows of a sheet.
const MOST_ROWS: usize = 500;
/// From this chance of an edit on it is named.
const NAMED_FROM: f64 = 0.9;
/// Up to this chance of an edit the sheet is taken as written.
const CLEAR_TO: f64 = 0.5;

/// One row of a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlipRow {
    /// Predicted outcome of the runner of this row.
    pub predicted: f64,
    /// SD of outcome minus prediction, above 0.
    pub sd: f64,
    /// Score written on this row; none for a blank.
    pub observed: Option<f64>,
}

/// What is known about sheets before this one is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlipOptions {
    /// Largest shift looked for, in rows; 1 or more.
    pub most_rows: usize,
    /// Chance that a sheet has slipped at all, above 0 and below 1.
    pub prior: f64,
    /// Chance that a score is far from its prediction for another reason, 0 or more and below 1.
    pub stray: f64,
}

impl Default for SlipOptions {
    /// Up to 3 rows, 5 % of sheets, 2 % of scores: working assumptions, no source.
    fn default() -> Self {
        Self {
            most_rows: 3,
            prior: 0.05,
            stray: 0.02,
        }
    }
}

/// What the sheet says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlipVerdict {
    /// No sign of a slip.
    AsWritten,
    /// A slip: look at the paper.
    Slip,
    /// Not to be told from these scores.
    CannotTell,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipReport {
    /// What the sheet says, from the chance of any edit.
    pub verdict: SlipVerdict,
    /// The likeliest single reading, which may be the sheet as written.
    pub best: Edit,
    /// Chance of that reading.
    pub best_probability: f64,
    /// The likeliest edit; none when the sheet is too short for any.
    pub edit: Option<Edit>,
    /// Chance of that edit; neighbouring rows often share the chance.
    pub edit_probability: f64,
    /// Chance that the sheet stands as written.
    pub as_written: f64,
    /// Chance of a shift of either direction from any row.
    pub shift: f64,
    /// Chance of an exchange of any two rows.
    pub swap: f64,
    /// Log-likelihood of the likeliest edit over that of the sheet as written.
    pub gain: f64,
}

/// Reads a sheet of two or more rows with two or more scores.
pub fn row_slip(rows: &[SlipRow], options: &SlipOptions) -> Result<SlipReport, MeasureError> {
    checked(rows, options)?;
    // The wave's common gap is taken where the sheet, slipped or not, is likeliest.
    common_gaps(rows, options.most_rows)
        .into_iter()
        .map(|gap| read(&Sheet::new(rows, options, gap), options))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, report)| report)
        .ok_or(MeasureError::Overflow {
            what: "the common gap of the sheet",
        })
}

/// Log-evidence of the sheet over all readings, and the report.
fn read(sheet: &Sheet, options: &SlipOptions) -> (f64, SlipReport) {
    let mut shifts = Tally::default();
    sheet.shifts(options.most_rows, |edit, gain| shifts.add(edit, gain));
    let mut swaps = Tally::default();
    sheet.swaps(|edit, gain| swaps.add(edit, gain));
    // Half of the prior goes to each kind, spread evenly over its edits.
    let kinds = [&shifts, &swaps].iter().filter(|t| t.count > 0).count() as f64;
    let each = |tally: &Tally| (options.prior / kinds / tally.count.max(1) as f64).ln();
    let none = (1.0 - options.prior).ln();
    let top = none
        .max(shifts.best_gain() + each(&shifts))
        .max(swaps.best_gain() + each(&swaps));
    let mass = |tally: &Tally| {
        if tally.count == 0 {
            return 0.0;
        }
        tally.sum * (tally.top + each(tally) - top).exp()
    };
    let masses = [(none - top).exp(), mass(&shifts), mass(&swaps)];
    let total: f64 = masses.iter().sum();
    let edit = [&shifts, &swaps]
        .into_iter()
        .filter_map(|tally| Some((tally.best?, tally.best_gain() + each(tally))))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let edit_probability = edit.map_or(0.0, |(_, score)| (score - top).exp() / total);
    let as_written = masses[0] / total;
    let changed = 1.0 - as_written;
    let (best, best_probability) = match edit {
        Some(((edit, _), _)) if edit_probability > as_written => (edit, edit_probability),
        _ => (Edit::AsWritten, as_written),
    };
    let report = SlipReport {
        verdict: match changed {
            p if p >= NAMED_FROM => SlipVerdict::Slip,
            p if p <= CLEAR_TO => SlipVerdict::AsWritten,
            _ => SlipVerdict::CannotTell,
        },
        best,
        best_probability,
        edit: edit.map(|((edit, _), _)| edit),
        edit_probability,
        as_written,
        shift: masses[1] / total,
        swap: masses[2] / total,
        gain: edit.map_or(0.0, |((_, gain), _)| gain),
    };
    (sheet.as_written() + top + total.ln(), report)
}

/// Sum of exponentials and the best of a kind of edit.
#[derive(Default)]
struct Tally {
    count: usize,
    best: Option<(Edit, f64)>,
    top: f64,
    sum: f64,
}

impl Tally {
    fn add(&mut self, edit: Edit, gain: f64) {
        self.count += 1;
        if self.best.is_none_or(|(_, best)| gain > best) {
            self.best = Some((edit, gain));
        }
        if self.count == 1 || gain > self.top {
            self.sum = self.sum * (self.top - gain).exp() + 1.0;
            self.top = gain;
        } else {
            self.sum += (gain - self.top).exp();
        }
    }

    fn best_gain(&self) -> f64 {
        self.best.map_or(f64::NEG_INFINITY, |(_, gain)| gain)
    }
}

fn checked(rows: &[SlipRow], options: &SlipOptions) -> Result<(), MeasureError> {
    if rows.len() > MOST_ROWS {
        return Err(MeasureError::TooMany {
            what: "rows of a sheet",
            found: rows.len(),
            allowed: MOST_ROWS,
        });
    }
    let scores: Vec<f64> = rows.iter().filter_map(|row| row.observed).collect();
    check::list("scores on the sheet", &scores, 2)?;
    for row in rows {
        check::finite("predicted outcome", row.predicted)?;
        check::positive("SD of a prediction", row.sd)?;
    }
    let spread = rows
        .iter()
        .fold(0.0_f64, |m, r| m.max(r.predicted.abs()).max(r.sd));
    let scores = scores.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    let narrow = rows.iter().fold(f64::MAX, |m, r| m.min(r.sd));
    check::result(
        "the fit of the sheet",
        ((spread + scores) / narrow).powi(2) * rows.len() as f64,
    )?;
    check::within(
        "largest shift",
        options.most_rows as f64,
        options.most_rows >= 1,
        "1 or more rows",
    )?;
    let prior = options.prior;
    check::within(
        "chance of a slip",
        prior,
        prior > 0.0 && prior < 1.0,
        "between 0 and 1",
    )?;
    let stray = options.stray;
    check::within(
        "chance of a stray score",
        stray,
        (0.0..1.0).contains(&stray),
        "0 to below 1",
    )?;
    Ok(())
}
