//! Places dots of a strip so that none covers another, and finds median and quartiles.
//! Must not move a dot along the axis: its place there is the data.

/// Returns a level (0 the middle, then +1, -1, +2, …) for each place, in the order given.
pub fn levels(places: &[f64], spacing: f64) -> Vec<i32> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|&a, &b| places[a].total_cmp(&places[b]));
    let mut out = vec![0; places.len()];
    let mut last_at: Vec<(i32, f64)> = Vec::new();
    for i in order {
        let free = (0..).map(zigzag).find(|level| {
            last_at
                .iter()
                .all(|(l, x)| l != level || places[i] - x >= spacing)
        });
        let level = free.unwrap_or_default();
        last_at.retain(|(l, _)| *l != level);
        last_at.push((level, places[i]));
        out[i] = level;
    }
    out
}

/// 0, 1, -1, 2, -2, …
fn zigzag(i: i32) -> i32 {
    if i % 2 == 1 { (i + 1) / 2 } else { -i / 2 }
}

/// Returns a quantile by linear interpolation between order statistics (the usual default of
/// statistics programs), or nothing for no values. `share` is 0 to 1.
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    let place = share.clamp(0.0, 1.0) * last as f64;
    let below = place.floor() as usize;
    let above = (below + 1).min(last);
    Some(sorted[below] + (sorted[above] - sorted[below]) * (place - below as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_values_stack_and_far_ones_stay_in_the_middle() {
        assert_eq!(levels(&[10.0, 10.0, 10.0, 50.0], 8.0), [0, 1, -1, 0]);
        let many = vec![5.0; 40];
        let mut levels = levels(&many, 8.0);
        levels.sort_unstable();
        levels.dedup();
        assert_eq!(levels.len(), 40);
    }

    /// Source: arithmetic on five and four numbers, by hand (derived).
    #[test]
    fn quartiles_by_linear_interpolation() {
        let five = [40.0, 10.0, 20.0, 30.0, 50.0];
        assert_eq!(quantile(&five, 0.5), Some(30.0));
        assert_eq!(quantile(&five, 0.25), Some(20.0));
        assert_eq!(quantile(&[10.0, 20.0, 30.0, 40.0], 0.25), Some(17.5));
        assert_eq!(quantile(&[], 0.5), None);
    }
}
