//! Pass or fail at a cut: the chance that the true level passes, false passes and fails, bands.
//! Errors are normal; with a group the true levels are normal too.
//! Formulas: normal integrals (textbook); posterior of a level from `change::true_score`.

use super::best_of::reaches;
use super::retest::Group;
use crate::change::true_score;
use crate::{MeasureError, check, dist, quad, tails};

/// How often a cut decides wrongly in a group, as shares of all who are tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutRisk {
    /// Share that passes.
    pub pass: f64,
    /// Share whose true level is at the cut or above.
    pub truly_above: f64,
    /// Share that passes with a true level below the cut.
    pub false_pass: f64,
    /// Share that fails with a true level at the cut or above.
    pub false_fail: f64,
}

impl CutRisk {
    /// Returns the share of false passes among the passes; none when nobody passes.
    pub fn false_among_passes(&self) -> Option<f64> {
        (self.pass > 0.0).then(|| self.false_pass / self.pass)
    }

    /// Returns the share of false fails among the fails; none when nobody fails.
    pub fn false_among_fails(&self) -> Option<f64> {
        (self.pass < 1.0).then(|| self.false_fail / (1.0 - self.pass))
    }
}

/// Scores on either side of a cut that decide with at most the wanted risk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GuardBand {
    /// From this score on the true level is below the cut with at most the risk.
    pub pass_from: f64,
    /// Up to this score the true level is at the cut or above with at most the risk.
    pub fail_to: f64,
    /// The risk, as a fraction.
    pub risk: f64,
}

/// Returns the chance that the true level is at the cut or above, from one score, its typical
/// error (above 0) and the df of that error (none: taken as known); nothing else is known.
pub fn chance_above(
    score: f64,
    typical_error: f64,
    df: Option<f64>,
    cut: f64,
) -> Result<f64, MeasureError> {
    let error = check::positive("typical error", typical_error)?;
    let distance = check::finite("score", score)? - check::finite("cut", cut)?;
    let z = check::result("the distance to the cut", distance / error)?;
    Ok(dist::lower_tail(z, check::freedom(df)?))
}

/// Returns the same chance for a member of a group, which pulls the score to the group's mean.
pub fn chance_above_in_group(score: f64, group: &Group, cut: f64) -> Result<f64, MeasureError> {
    let group = group.checked()?;
    let level = true_score(score, group.mean, group.sd, group.reliability)?;
    let distance = level.expected - check::finite("cut", cut)?;
    Ok(tails::phi(check::result(
        "the distance to the cut",
        distance / level.sd_true,
    )?))
}

/// Returns how often the best of `trials` trials (1 or more) decides wrongly at `cut` in a group.
pub fn cut_risk(cut: f64, group: &Group, trials: u32) -> Result<CutRisk, MeasureError> {
    let group = group.checked()?;
    if trials == 0 {
        return Err(MeasureError::TooFew {
            what: "trials a person",
            found: 0,
            needed: 1,
        });
    }
    let (spread, error) = (group.true_sd(), group.error());
    let z = check::result(
        "the distance to the cut",
        (check::finite("cut", cut)? - group.mean) / spread,
    )?;
    let ratio = spread / error;
    let pass_at = |t: f64| reaches(f64::from(trials), (z - t) * ratio);
    // Steep within a few errors of the cut.
    let steps = [
        z - 12.0 / ratio,
        z - 3.0 / ratio,
        z + 3.0 / ratio,
        z + 12.0 / ratio,
    ];
    let below = z.clamp(-9.5, 9.5);
    let false_pass = quad::integrate(-9.5, below, &steps, 12, |t| tails::density(t) * pass_at(t));
    let pass_above = quad::integrate(below, 9.5, &steps, 12, |t| tails::density(t) * pass_at(t));
    let truly_above = tails::phi(-z);
    Ok(CutRisk {
        pass: (false_pass + pass_above).clamp(0.0, 1.0),
        truly_above,
        false_pass: false_pass.clamp(0.0, 1.0),
        false_fail: (truly_above - pass_above).clamp(0.0, 1.0),
    })
}

/// Returns the guard band for a risk (above 0, at most 0.5) from the error of a score alone.
pub fn guard_band(
    cut: f64,
    typical_error: f64,
    df: Option<f64>,
    risk: f64,
) -> Result<GuardBand, MeasureError> {
    let cut = check::finite("cut", cut)?;
    let error = check::positive("typical error", typical_error)?;
    let band = dist::student_quantile(1.0 - wanted(risk)?, df)? * error;
    Ok(GuardBand {
        pass_from: check::result("the guard band", cut + band)?,
        fail_to: check::result("the guard band", cut - band)?,
        risk,
    })
}

/// Returns the guard band for members of a group. Its middle is not the cut: a score is read
/// towards the group's mean.
pub fn guard_band_in_group(cut: f64, group: &Group, risk: f64) -> Result<GuardBand, MeasureError> {
    let group = group.checked()?;
    let cut = check::finite("cut", cut)?;
    let z = dist::normal_quantile(1.0 - wanted(risk)?)?;
    let r = group.reliability;
    let sd_true = group.sd * (r * (1.0 - r)).sqrt();
    let at = |level: f64| check::result("the guard band", group.mean + (level - group.mean) / r);
    Ok(GuardBand {
        pass_from: at(cut + z * sd_true)?,
        fail_to: at(cut - z * sd_true)?,
        risk,
    })
}

fn wanted(risk: f64) -> Result<f64, MeasureError> {
    check::within(
        "risk",
        risk,
        risk > 0.0 && risk <= 0.5,
        "above 0, at most 0.5",
    )
}
