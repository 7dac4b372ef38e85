//! How strict each assessor is, from lanes or runs that several of them judged.
//! Severities are pulled towards the middle, the more so the fewer calls there are.
//! Model: mixed logistic regression, Laplace likelihood (`laplace`); checked against lme4.

use super::laplace::{Calls, Setting};
use super::simplex::{FitRecord, minimise};
use crate::{MeasureError, check};

/// Most calls, and most assessors, of one analysis.
const MOST_CALLS: usize = 20_000;
const MOST_ASSESSORS: usize = 100;

/// One call.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rating {
    /// Mark of the assessor.
    pub assessor: u64,
    /// Mark of what was judged; the same mark for all who judged it.
    pub event: u64,
    /// Whether the assessor called a fault.
    pub called: bool,
}

/// How the SDs of assessors and events (log-odds) are found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpreadRule {
    /// Maximum likelihood; with few assessors it often lands on 0, which calls all alike.
    MaximumLikelihood,
    /// Likelihood times a Rayleigh prior of mode 1 on each SD, which keeps off 0 and infinity:
    /// working assumption, no source.
    Cautious,
    /// Both given, 0 or more.
    Given {
        /// SD between assessors.
        assessors: f64,
        /// SD between events.
        events: f64,
    },
}

/// One assessor, in log-odds; above 0 calls more often than the others would.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Severity {
    /// Mark of the assessor.
    pub assessor: u64,
    /// Calls and non-calls by this assessor.
    pub ratings: usize,
    /// Events that another assessor judged as well.
    pub shared: usize,
    /// Severity against the middle of all assessors, shrunk.
    pub value: f64,
    /// Its standard error, with the common rate uncertain too.
    pub se: f64,
    /// The same with the common rate taken as known.
    pub se_given_rate: f64,
    /// How far the calls have told: 0 nothing (all prior) to 1 everything.
    pub weight_of_data: f64,
    /// Whether the value is more prior than data, or rests on no shared event.
    pub mostly_prior: bool,
}

/// All assessors.
#[derive(Debug, Clone, PartialEq)]
pub struct SeverityReport {
    /// One entry an assessor, by rising mark.
    pub assessors: Vec<Severity>,
    /// Log-odds of a call by the middle assessor on the middle event.
    pub mean: f64,
    /// SD between assessors, log-odds.
    pub assessor_sd: f64,
    /// SD between events, log-odds.
    pub event_sd: f64,
    /// Laplace log-likelihood at these values, without any prior.
    pub log_likelihood: f64,
    /// How the search ended.
    pub record: FitRecord,
}

/// Returns the severities of two or more assessors; some calls must differ.
pub fn severity(ratings: &[Rating], rule: SpreadRule) -> Result<SeverityReport, MeasureError> {
    let (marks, calls) = numbered(ratings)?;
    let share = ratings.iter().filter(|r| r.called).count() as f64 / ratings.len() as f64;
    if share <= 0.0 || share >= 1.0 {
        return Err(MeasureError::NoSpread {
            what: "the calls",
            hint: "severity needs events that some called and some did not",
        });
    }
    let start = (share / (1.0 - share)).ln();
    let (setting, record) = search(&calls, start, rule)?;
    let lost = MeasureError::Overflow {
        what: "the severity of the assessors",
    };
    let mode = calls.mode(&setting).ok_or(lost.clone())?;
    let deviations = calls.deviations(&setting, &mode).ok_or(lost)?;
    let shared = shared(&calls);
    let assessors = (0..calls.assessors)
        .map(|i| {
            let (given, se) = deviations[i];
            let spread = setting.assessor_sd * setting.assessor_sd;
            let told = if spread > 0.0 {
                (1.0 - given * given / spread).clamp(0.0, 1.0)
            } else {
                0.0
            };
            Severity {
                assessor: marks[i],
                ratings: calls.rows.iter().filter(|row| row.0 == i).count(),
                shared: shared[i],
                value: setting.assessor_sd * mode.assessors[i],
                se,
                se_given_rate: given,
                weight_of_data: told,
                mostly_prior: told < 0.5 || shared[i] == 0,
            }
        })
        .collect();
    Ok(SeverityReport {
        assessors,
        mean: setting.mean,
        assessor_sd: setting.assessor_sd,
        event_sd: setting.event_sd,
        log_likelihood: check::result("the likelihood", mode.log_likelihood)?,
        record,
    })
}

fn search(
    calls: &Calls,
    start: f64,
    rule: SpreadRule,
) -> Result<(Setting, FitRecord), MeasureError> {
    let prior = |sd: f64| match rule {
        SpreadRule::Cautious => sd.max(1e-300).ln() - 0.5 * sd * sd,
        _ => 0.0,
    };
    let at = |x: &[f64]| Setting {
        mean: x[0],
        assessor_sd: x[1].abs(),
        event_sd: x[2].abs(),
    };
    let loss = |setting: &Setting| {
        calls.mode(setting).map_or(f64::INFINITY, |mode| {
            -mode.log_likelihood - prior(setting.assessor_sd) - prior(setting.event_sd)
        })
    };
    if let SpreadRule::Given { assessors, events } = rule {
        let assessors = check::not_negative("SD between assessors", assessors)?;
        let events = check::not_negative("SD between events", events)?;
        let of = |x: &[f64]| Setting {
            mean: x[0],
            assessor_sd: assessors,
            event_sd: events,
        };
        let (x, _, record) = minimise(&[start], &[0.3], |x| loss(&of(x)));
        return ended(of(&x), record);
    }
    let (x, _, record) = minimise(&[start, 0.7, 0.7], &[0.3, 0.3, 0.3], |x| loss(&at(x)));
    ended(at(&x), record)
}

fn ended(setting: Setting, record: FitRecord) -> Result<(Setting, FitRecord), MeasureError> {
    if record.converged {
        return Ok((setting, record));
    }
    Err(MeasureError::Undefined {
        what: "the severity of the assessors",
        why: format!(
            "the search had not settled after {} turns; give the two SDs yourself or add calls",
            record.iterations
        ),
    })
}

fn numbered(ratings: &[Rating]) -> Result<(Vec<u64>, Calls), MeasureError> {
    let sorted = |mark: fn(&Rating) -> u64| {
        let mut marks: Vec<u64> = ratings.iter().map(mark).collect();
        marks.sort_unstable();
        marks.dedup();
        marks
    };
    let (assessors, events) = (sorted(|r| r.assessor), sorted(|r| r.event));
    if assessors.len() < 2 {
        return Err(MeasureError::TooFew {
            what: "assessors",
            found: assessors.len(),
            needed: 2,
        });
    }
    for (what, found, allowed) in [
        ("calls", ratings.len(), MOST_CALLS),
        ("assessors", assessors.len(), MOST_ASSESSORS),
    ] {
        if found > allowed {
            return Err(MeasureError::TooMany {
                what,
                found,
                allowed,
            });
        }
    }
    let mut order: Vec<&Rating> = ratings.iter().collect();
    order.sort_by_key(|r| (r.event, r.assessor, r.called));
    for two in order.windows(2) {
        if (two[0].event, two[0].assessor) == (two[1].event, two[1].assessor) {
            return Err(MeasureError::Twice {
                what: "assessor and event",
                first: two[0].assessor,
                second: two[0].event,
            });
        }
    }
    let place = |marks: &[u64], mark: u64| marks.partition_point(|&m| m < mark);
    let rows = order
        .iter()
        .map(|r| {
            let call = f64::from(u8::from(r.called));
            (place(&assessors, r.assessor), place(&events, r.event), call)
        })
        .collect();
    let calls = Calls {
        assessors: assessors.len(),
        events: events.len(),
        rows,
    };
    Ok((assessors, calls))
}

/// Events of each assessor that somebody else judged too.
fn shared(calls: &Calls) -> Vec<usize> {
    let mut shared = vec![0; calls.assessors];
    for group in calls.rows.chunk_by(|x, y| x.1 == y.1) {
        if group.len() > 1 {
            for row in group {
                shared[row.0] += 1;
            }
        }
    }
    shared
}
