//! What an error of the playback speed is worth in bouts, at a place on a ladder.
//! Derived: a track slow by a share e shows, at the speed a runner can just hold, the speed 1/(1−e)
//! times as high on its ladder; the bouts between the two are the gift.

use plimsoll_ladder::Test;

/// Returns the bouts that an error of the speed is worth to someone who stops at this bout; positive
/// when the score comes out too high. Nothing where the ladder has one speed only.
pub fn bouts(test: &Test, at_bout: u32, speed_error_ppm: f64) -> Option<f64> {
    let ladder = test.ladder()?;
    // The middle of each stage stands for its speed; in between the climb is even.
    let mut middles: Vec<(f64, f64)> = Vec::new();
    for (i, stage) in ladder.stages().iter().enumerate() {
        let own = ladder.bouts().iter().filter(|b| b.stage == i);
        let numbers: Vec<f64> = own.map(|b| f64::from(b.number)).collect();
        if let (Some(first), Some(last)) = (numbers.first(), numbers.last()) {
            middles.push((f64::midpoint(*first, *last), stage.speed.as_kmh_f64()));
        }
    }
    let at = f64::from(at_bout);
    let speed = interpolate(&middles, at)?;
    let shown = speed / (1.0 + speed_error_ppm / 1e6);
    let turned: Vec<(f64, f64)> = middles.iter().map(|(n, v)| (*v, *n)).collect();
    if turned.windows(2).any(|pair| pair[1].0 <= pair[0].0) {
        return None;
    }
    Some(interpolate(&turned, shown)? - interpolate(&turned, speed)?)
}

/// Reads a line through points in order; beyond the ends their last slope goes on.
fn interpolate(points: &[(f64, f64)], x: f64) -> Option<f64> {
    if points.len() < 2 {
        return None;
    }
    let after = points
        .partition_point(|p| p.0 <= x)
        .clamp(1, points.len() - 1);
    let ((x0, y0), (x1, y1)) = (points[after - 1], points[after]);
    (x1 > x0).then(|| y0 + (y1 - y0) * (x - x0) / (x1 - x0))
}
