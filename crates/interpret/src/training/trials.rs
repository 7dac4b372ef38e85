//! What fits of critical speed mean: warnings in words, and a session that spends 70 % of D′.
//! Must not plan to the last metre: D′ is uncertain by 10 to 18 %. Interpretation notes, section 7.

use plimsoll_measure::critical::{Bout, CriticalFits, CriticalWarning, Trial, bouts_until};
use serde::Serialize;

use crate::InterpretError;
use crate::words::number;

/// Share of D′ to plan with.
pub const SHARE_TO_SPEND: f64 = 0.70;
/// Trials count from the first to the second, s. Common practice, no source.
pub const TRIAL_S: (f64, f64) = (120.0, 900.0);
/// Longest list of bouts that is planned.
const MOST: usize = 200;

/// How many runs spend the share of D′ that may be planned with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Plan {
    /// Speed, km/h.
    pub speed_kmh: f64,
    /// Run, s.
    pub work_s: f64,
    /// Standing rest, s.
    pub rest_s: f64,
    /// Runs until 70 % of D′ is spent at the end of one; none: no end within 200.
    pub runs: Option<usize>,
    /// D′ one run spends, m; 0 at or below critical speed.
    pub spent_m: f64,
}

/// Returns how many runs of `work_s` with standing rests of `rest_s` may be planned.
///
/// # Errors
///
/// [`InterpretError`] for values out of range.
pub fn plan(
    critical_m_s: f64,
    distance_m: f64,
    speed_kmh: f64,
    work_s: f64,
    rest_s: f64,
) -> Result<Plan, InterpretError> {
    let bout = Bout {
        speed: speed_kmh / 3.6,
        duration: work_s,
        recovery_speed: 0.0,
        recovery: rest_s,
    };
    let runs = bouts_until(critical_m_s, distance_m, bout, SHARE_TO_SPEND, MOST)?;
    Ok(Plan {
        speed_kmh,
        work_s,
        rest_s,
        runs: (runs < MOST).then_some(runs),
        spent_m: ((bout.speed - critical_m_s) * work_s).max(0.0),
    })
}

/// Returns whether a fit gives a speed or a D′ that cannot be, so that nothing may be planned.
pub fn is_implausible(fits: &CriticalFits) -> bool {
    let wrong = |w: &CriticalWarning| matches!(w, CriticalWarning::Implausible(_));
    fits.warnings.iter().any(wrong)
}

/// Returns everything to know before using the fits, in words.
pub fn trial_words(fits: &CriticalFits, trials: &[Trial]) -> Vec<String> {
    let mut out: Vec<String> = fits.warnings.iter().map(warning).collect();
    for (method, why) in &fits.refused {
        out.push(format!("no fit by {}: {why}", method.words()));
    }
    let short = trials.iter().filter(|t| t.time < TRIAL_S.0).count();
    let long = trials.iter().filter(|t| t.time > TRIAL_S.1).count();
    if short + long > 0 {
        out.push(format!(
            "{short} of the trials are shorter than 2 min and {long} longer than 15 min, where the \
             model holds less well; the choice of trials moves the answer more than the choice of \
             fit"
        ));
    }
    let fastest = trials.iter().map(|t| t.time).fold(f64::INFINITY, f64::min);
    let slowest = trials.iter().map(|t| t.time).fold(0.0, f64::max);
    if slowest < 2.0 * fastest {
        out.push(format!(
            "the longest trial ({} s) is not twice as long as the shortest ({} s): critical speed \
             leans on small differences; add a longer trial",
            number(slowest, 0),
            number(fastest, 0)
        ));
    }
    out
}

fn warning(warning: &CriticalWarning) -> String {
    match warning {
        CriticalWarning::NoInterval => "two trials give a line and no interval: nothing says how \
                                        far off it is; run a third"
            .to_owned(),
        CriticalWarning::SpeedsApart { low, high } => format!(
            "the fits disagree on critical speed: {} to {} m/s; take the spread as part of the doubt",
            number(*low, 3),
            number(*high, 3)
        ),
        CriticalWarning::DistancesApart { low, high } => format!(
            "the fits disagree on D′: {} to {} m; take the spread as part of the doubt",
            number(*low, 0),
            number(*high, 0)
        ),
        CriticalWarning::Implausible(method) => format!(
            "{} gives a speed or a D′ that is not above 0: the longer trials were not slower; one \
             of them was not maximal, or is written wrongly: repeat it",
            method.words()
        ),
    }
}
