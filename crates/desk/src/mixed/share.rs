//! Whose the scatter is: shares of variance, and simple fractions for them in words.
//! A part with slopes counts with its mean variance over the rows (derived; docs/methods/mixed-models.md).

use plimsoll_measure::mixed::{RandomTerm, TermEstimate};

/// A part of the scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// The group; nothing for what is left over.
    pub group: Option<String>,
    /// Mean variance over the rows, unit of the outcome squared.
    pub variance: f64,
    /// Share of the whole, 0 to 1.
    pub share: f64,
}

/// Returns the mean of z' S z over the rows.
pub(super) fn mean_variance(estimate: &TermEstimate, term: &RandomTerm) -> f64 {
    let rows = term.groups.len();
    let total: f64 = (0..rows).map(|row| variance_at(estimate, term, row)).sum();
    total / rows.max(1) as f64
}

/// Returns z' S z in a row: the variance that a new level would add there.
pub(super) fn variance_at(estimate: &TermEstimate, term: &RandomTerm, row: usize) -> f64 {
    let mut sum = 0.0;
    for (i, a) in estimate.columns.iter().enumerate() {
        for (j, b) in estimate.columns.iter().enumerate() {
            let together = if i == j {
                1.0
            } else {
                estimate.correlations[i][j].unwrap_or(0.0)
            };
            let (x, y) = (term.columns[i].values[row], term.columns[j].values[row]);
            sum += x * a.sd * together * y * b.sd;
        }
    }
    sum.max(0.0)
}

/// Returns the shares of parts whose variances are known.
pub(super) fn shares(parts: Vec<(Option<String>, f64)>) -> Vec<Share> {
    let whole: f64 = parts.iter().map(|(_, v)| v).sum();
    parts
        .into_iter()
        .map(|(group, variance)| Share {
            group,
            variance,
            share: if whole > 0.0 { variance / whole } else { 0.0 },
        })
        .collect()
}

/// Returns the simple fraction that is nearest to a share.
pub fn share_words(share: f64) -> &'static str {
    const FRACTIONS: [(f64, &str); 15] = [
        (0.05, "a twentieth"),
        (0.10, "a tenth"),
        (1.0 / 7.0, "a seventh"),
        (0.20, "a fifth"),
        (0.25, "a quarter"),
        (1.0 / 3.0, "a third"),
        (0.40, "two fifths"),
        (0.50, "half"),
        (0.60, "three fifths"),
        (2.0 / 3.0, "two thirds"),
        (0.75, "three quarters"),
        (0.80, "four fifths"),
        (5.0 / 6.0, "five sixths"),
        (0.90, "nine tenths"),
        (0.95, "nineteen twentieths"),
    ];
    if !share.is_finite() {
        return "an unknown part";
    }
    if share <= 0.0 {
        return "none";
    }
    if share < 0.03 {
        return "next to nothing";
    }
    if share > 0.97 {
        return "nearly all";
    }
    let away = |f: &(f64, &str)| (f.0 - share).abs();
    FRACTIONS
        .iter()
        .min_by(|a, b| away(a).total_cmp(&away(b)))
        .map_or("a part", |f| f.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_the_nearest_ones() {
        for (share, words) in [
            (0.0, "none"),
            (0.01, "next to nothing"),
            (0.26, "a quarter"),
            (0.65, "two thirds"),
            (0.52, "half"),
            (0.99, "nearly all"),
            (f64::NAN, "an unknown part"),
        ] {
            assert_eq!(share_words(share), words);
        }
    }
}
