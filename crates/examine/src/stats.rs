//! The few statistics that detectors need: medians, tails of sums of chances, a robust spread.
//! Plain numbers in, plain numbers out. Formulas are textbook; each is tested against a slow twin.

/// Returns the median, or nothing of an empty list.
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    let upper = *sorted.get(n / 2)?;
    if n % 2 == 1 {
        return Some(upper);
    }
    Some((sorted.get(n / 2 - 1)? + upper) / 2.0)
}

/// Returns the spread that equals the standard deviation of a normal sample: 1.4826 times the
/// median distance from the median.
pub(crate) fn robust_sd(values: &[f64]) -> Option<f64> {
    let centre = median(values)?;
    let off: Vec<f64> = values.iter().map(|v| (v - centre).abs()).collect();
    Some(1.4826 * median(&off)?)
}

/// Returns the chance of `k` or more successes among independent trials with these chances.
///
/// Exact up to 3 000 trials, by the normal approximation beyond.
pub(crate) fn tail_at_least(chances: &[f64], k: usize) -> f64 {
    if k == 0 {
        return 1.0;
    }
    if k > chances.len() {
        return 0.0;
    }
    let mean: f64 = chances.iter().sum();
    let variance: f64 = chances.iter().map(|p| p * (1.0 - p)).sum();
    if chances.len() > 3_000 {
        if variance <= 0.0 {
            return if mean + 0.5 > k as f64 { 1.0 } else { 0.0 };
        }
        return upper_normal((k as f64 - 0.5 - mean) / variance.sqrt());
    }
    // below[j]: chance of exactly j successes so far, for j < k; the rest has reached k.
    let mut below = vec![0.0; k];
    if let Some(first) = below.first_mut() {
        *first = 1.0;
    }
    let mut reached = 0.0;
    for p in chances {
        reached += below.last().copied().unwrap_or(0.0) * p;
        for j in (0..k).rev() {
            let from = if j == 0 {
                0.0
            } else {
                below.get(j - 1).copied().unwrap_or(0.0) * p
            };
            if let Some(slot) = below.get_mut(j) {
                *slot = *slot * (1.0 - p) + from;
            }
        }
    }
    reached
}

/// Returns the upper tail of the standard normal distribution.
///
/// Source: Abramowitz and Stegun 1964, formula 26.2.17, from memory; error below 7.5e-8, checked in
/// the test against tabled values.
pub(crate) fn upper_normal(z: f64) -> f64 {
    if z < 0.0 {
        return 1.0 - upper_normal(-z);
    }
    let t = 1.0 / (1.0 + 0.231_641_9 * z);
    let poly = t
        * (0.319_381_530
            + t * (-0.356_563_782
                + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt() * poly
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn medians() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
        assert_eq!(median(&[]), None);
        assert!((robust_sd(&[1.0, 2.0, 3.0, 4.0, 100.0]).expect("numbers") - 1.4826).abs() < 1e-9);
    }

    /// The slow twin: sums over all outcomes.
    fn by_enumeration(chances: &[f64], k: usize) -> f64 {
        (0_u32..1 << chances.len())
            .filter(|mask| mask.count_ones() as usize >= k)
            .map(|mask| {
                chances
                    .iter()
                    .enumerate()
                    .map(|(i, p)| if mask >> i & 1 == 1 { *p } else { 1.0 - p })
                    .product::<f64>()
            })
            .sum()
    }

    #[test]
    fn the_tail_agrees_with_enumeration() {
        let chances = [0.1, 0.4, 0.25, 0.9, 0.3, 0.05, 0.5, 0.2];
        for k in 0..=9 {
            let (fast, slow) = (tail_at_least(&chances, k), by_enumeration(&chances, k));
            assert!((fast - slow).abs() < 1e-12, "{k}: {fast} {slow}");
        }
    }

    #[test]
    fn the_normal_tail() {
        // Tabled: 0.158655 at 1, 0.0227501 at 2, 0.00134990 at 3.
        for (z, p) in [
            (0.0, 0.5),
            (1.0, 0.158_655_25),
            (2.0, 0.022_750_13),
            (3.0, 0.001_349_90),
        ] {
            assert!((upper_normal(z) - p).abs() < 1e-7, "{z}");
        }
    }
}
