//! Regression to the mean for those with the lowest scores.
//! The gain it tells of comes without any training; a real one must be larger.
//! Formulas: `change::true_score`; normal order statistics and truncated normal (textbook).

use statrs::function::beta::beta_reg;

use crate::change::true_score;
use crate::{MeasureError, check, dist, quad, tails};

/// From this group size on the truncated normal replaces the exact order statistics.
const LARGE: usize = 100_000;

/// A group a person is taken from, in the unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// Mean of the observed scores.
    pub mean: f64,
    /// SD of the observed scores, above 0.
    pub sd: f64,
    /// Reliability of one score, above 0 and below 1.
    pub reliability: f64,
}

impl Group {
    /// Checks the group.
    pub(crate) fn checked(&self) -> Result<Self, MeasureError> {
        check::finite("group mean", self.mean)?;
        check::positive("group SD", self.sd)?;
        let r = self.reliability;
        check::within(
            "reliability",
            r,
            r > 0.0 && r < 1.0,
            "0 to 1, ends excluded",
        )?;
        Ok(*self)
    }

    /// SD of the true levels.
    pub(crate) fn true_sd(&self) -> f64 {
        self.sd * self.reliability.sqrt()
    }

    /// Error of one score.
    pub(crate) fn error(&self) -> f64 {
        self.sd * (1.0 - self.reliability).sqrt()
    }
}

/// What a retest of the lowest scorers is expected to show when nobody has changed.
#[derive(Debug, Clone, PartialEq)]
pub struct SelectedRetest {
    /// Places of the selected in the list, lowest score first.
    pub selected: Vec<usize>,
    /// The group the scores were read against.
    pub group: Group,
    /// Mean of the selected scores.
    pub first_mean: f64,
    /// Expected mean of their retest.
    pub retest_mean: f64,
    /// SD of the mean of their retest.
    pub retest_mean_sd: f64,
    /// Expected gain of the selected that is no gain: retest minus first mean.
    pub apparent_gain: f64,
    /// Expected retest of each, in the order of `selected`.
    pub expected: Vec<f64>,
    /// SD of one retest around its expectation.
    pub sd_retest: f64,
}

/// What picking the lowest k of n makes before any score is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowestExpected {
    /// Expected mean of their first scores.
    pub first_mean: f64,
    /// Expected mean of their retest.
    pub retest_mean: f64,
    /// Expected gain that is no gain.
    pub apparent_gain: f64,
}

/// Returns the expected retest of the `k` lowest of `scores` (three or more that differ).
pub fn retest_of_lowest(
    scores: &[f64],
    k: usize,
    reliability: f64,
) -> Result<SelectedRetest, MeasureError> {
    check::list("scores of the group", scores, 3)?;
    selection(k, scores.len())?;
    let sd = check::result("the SD of the scores", check::sd(scores))?;
    if sd == 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the scores of the group",
            hint: "nobody is lower than the others",
        });
    }
    let mean = check::mean(scores);
    let group = Group {
        mean,
        sd,
        reliability,
    }
    .checked()?;
    let mut selected: Vec<usize> = (0..scores.len()).collect();
    selected.sort_by(|&a, &b| scores[a].total_cmp(&scores[b]).then(a.cmp(&b)));
    selected.truncate(k);
    let mut expected = Vec::with_capacity(k);
    let (mut first, mut sd_retest) = (0.0, 0.0);
    for &place in &selected {
        let one = true_score(scores[place], mean, sd, reliability)?;
        first += scores[place] / k as f64;
        sd_retest = one.sd_retest;
        expected.push(one.expected);
    }
    let retest_mean = check::mean(&expected);
    Ok(SelectedRetest {
        selected,
        group,
        first_mean: first,
        retest_mean,
        retest_mean_sd: sd_retest / (k as f64).sqrt(),
        apparent_gain: retest_mean - first,
        expected,
        sd_retest,
    })
}

/// Returns what picking the lowest `k` of `n` from a normal group is expected to make.
pub fn expected_of_lowest(
    n: usize,
    k: usize,
    group: &Group,
) -> Result<LowestExpected, MeasureError> {
    let group = group.checked()?;
    selection(k, n)?;
    let z = mean_of_lowest(n, k)?;
    let first_mean = group.mean + group.sd * z;
    let retest_mean = group.mean + group.reliability * group.sd * z;
    Ok(LowestExpected {
        first_mean: check::result("the first mean", first_mean)?,
        retest_mean: check::result("the retest mean", retest_mean)?,
        apparent_gain: -(1.0 - group.reliability) * group.sd * z,
    })
}

fn selection(k: usize, n: usize) -> Result<(), MeasureError> {
    if (1..=n).contains(&k) {
        return Ok(());
    }
    Err(MeasureError::Undefined {
        what: "the retest of the lowest",
        why: format!("{k} of {n} cannot be picked; pick at least 1 and at most {n}"),
    })
}

/// Mean of the lowest k of n standard normal values.
fn mean_of_lowest(n: usize, k: usize) -> Result<f64, MeasureError> {
    if k == n {
        return Ok(0.0);
    }
    let (count, picked) = (n as f64, k as f64);
    let cut = dist::normal_quantile(picked / count)?;
    if n > LARGE {
        return Ok(-tails::density(cut) / (picked / count));
    }
    // Sum of the densities of the lowest k: n phi(x) P(fewer than k of the others lie below x).
    let share = picked / count;
    let width = (share * (1.0 - share) / count).sqrt() / tails::density(cut);
    let steps = [cut - 8.0 * width, cut, cut + 8.0 * width];
    let total = quad::integrate(-9.5, 9.5, &steps, 12, |x| {
        let above = tails::phi(-x);
        x * tails::density(x) * beta_reg(count - picked, picked, above.clamp(0.0, 1.0))
    });
    Ok(total * count / picked)
}
