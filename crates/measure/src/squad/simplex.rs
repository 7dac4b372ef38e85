//! Smallest value of a function of a few numbers without slopes, by a shrinking simplex.
//! Says how it ended; a function without a value counts as infinitely bad.
//! Source: Nelder & Mead 1965 (from memory), standard coefficients, one restart.

/// Why a search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopReason {
    /// The simplex had shrunk to a point, twice from fresh starts.
    Settled,
    /// The turns allowed were used up.
    OutOfTurns,
}

/// How a search ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitRecord {
    /// Whether the answer can be relied on.
    pub converged: bool,
    /// Turns used.
    pub iterations: usize,
    /// Size of the simplex at the end, in the scale of the parameters.
    pub step: f64,
    /// Why it ended.
    pub why: StopReason,
}

const TURNS: usize = 2000;
const SMALL: f64 = 1e-7;

/// Minimises `f` from `start` with first steps `steps`.
pub(crate) fn minimise(
    start: &[f64],
    steps: &[f64],
    f: impl Fn(&[f64]) -> f64,
) -> (Vec<f64>, f64, FitRecord) {
    let f = |x: &[f64]| Some(f(x)).filter(|v| !v.is_nan()).unwrap_or(f64::INFINITY);
    let (mut best, mut value) = (start.to_vec(), f(start));
    let mut used = 0;
    let mut size = f64::INFINITY;
    // A fresh simplex at the first answer guards against one that collapsed early.
    for _ in 0..2 {
        let (x, y, turns, left) = descend(&best, steps, TURNS - used, &f);
        used += turns;
        size = left;
        if y <= value {
            (best, value) = (x, y);
        }
    }
    let converged = size <= SMALL && value.is_finite();
    let record = FitRecord {
        converged,
        iterations: used,
        step: size,
        why: if converged {
            StopReason::Settled
        } else {
            StopReason::OutOfTurns
        },
    };
    (best, value, record)
}

fn descend(
    start: &[f64],
    steps: &[f64],
    turns: usize,
    f: &impl Fn(&[f64]) -> f64,
) -> (Vec<f64>, f64, usize, f64) {
    let n = start.len();
    let mut corners: Vec<(Vec<f64>, f64)> = vec![(start.to_vec(), f(start))];
    for i in 0..n {
        let mut x = start.to_vec();
        x[i] += steps[i];
        let y = f(&x);
        corners.push((x, y));
    }
    let mut used = 0;
    loop {
        corners.sort_by(|a, b| a.1.total_cmp(&b.1));
        let size = spread(&corners);
        if size <= SMALL || used >= turns {
            let (x, y) = corners.swap_remove(0);
            return (x, y, used, size);
        }
        used += 1;
        let worst = corners[n].clone();
        let centre: Vec<f64> = (0..n)
            .map(|i| corners[..n].iter().map(|c| c.0[i]).sum::<f64>() / n as f64)
            .collect();
        let at = |far: f64| {
            let x: Vec<f64> = (0..n)
                .map(|i| centre[i] + far * (centre[i] - worst.0[i]))
                .collect();
            let y = f(&x);
            (x, y)
        };
        let mirrored = at(1.0);
        if mirrored.1 < corners[0].1 {
            let further = at(2.0);
            corners[n] = if further.1 < mirrored.1 {
                further
            } else {
                mirrored
            };
        } else if mirrored.1 < corners[n - 1].1 {
            corners[n] = mirrored;
        } else {
            let nearer = at(if mirrored.1 < worst.1 { 0.5 } else { -0.5 });
            if nearer.1 < worst.1.min(mirrored.1) {
                corners[n] = nearer;
            } else {
                shrink(&mut corners, f);
            }
        }
    }
}

fn shrink(corners: &mut [(Vec<f64>, f64)], f: &impl Fn(&[f64]) -> f64) {
    let best = corners[0].0.clone();
    for corner in &mut corners[1..] {
        for (x, b) in corner.0.iter_mut().zip(&best) {
            *x = b + (*x - b) / 2.0;
        }
        corner.1 = f(&corner.0);
    }
}

fn spread(corners: &[(Vec<f64>, f64)]) -> f64 {
    corners[1..]
        .iter()
        .flat_map(|c| c.0.iter().zip(&corners[0].0))
        .fold(0.0, |m, (a, b)| m.max((a - b).abs()))
}
