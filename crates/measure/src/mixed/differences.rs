//! Derivatives by differences, with one step of extrapolation where digits matter.
//! Steps follow the curvature, so that no unit rules them.

/// Change of the function that a step should make: far above rounding, far below curvature.
const CHANGE: f64 = 2e-3;

/// A function of the parameters.
pub(super) type Function<'a> = dyn FnMut(&[f64]) -> f64 + 'a;

/// Returns f with parameters i and j moved.
fn moved(f: &mut Function, x: &[f64], steps: &[(usize, f64)]) -> f64 {
    let mut at = x.to_vec();
    for &(i, step) in steps {
        at[i] += step;
    }
    f(&at)
}

/// Returns the gradient by central differences.
pub(super) fn gradient(f: &mut Function, x: &[f64], steps: &[f64]) -> Vec<f64> {
    (0..x.len())
        .map(|i| {
            let h = steps[i];
            (moved(f, x, &[(i, h)]) - moved(f, x, &[(i, -h)])) / (2.0 * h)
        })
        .collect()
}

/// Returns the gradient with one step of extrapolation.
pub(super) fn fine_gradient(f: &mut Function, x: &[f64], steps: &[f64]) -> Vec<f64> {
    let half: Vec<f64> = steps.iter().map(|h| h / 2.0).collect();
    let (wide, narrow) = (gradient(f, x, steps), gradient(f, x, &half));
    narrow
        .iter()
        .zip(&wide)
        .map(|(n, w)| (4.0 * n - w) / 3.0)
        .collect()
}

/// Returns steps that change a function of value `here` at `x` by about `CHANGE`.
pub(super) fn steps(f: &mut Function, x: &[f64], here: f64) -> Vec<f64> {
    let wanted = CHANGE.max(1e-11 * here.abs());
    (0..x.len())
        .map(|i| {
            let mut h = 1e-3 * x[i].abs().max(1.0);
            for _ in 0..4 {
                let up = moved(f, x, &[(i, h)]);
                let down = moved(f, x, &[(i, -h)]);
                let change = ((up + down) / 2.0 - here).abs();
                if !change.is_finite() {
                    h /= 10.0;
                    continue;
                }
                let factor = (wanted / change.max(wanted * 1e-4)).sqrt();
                if (0.5..2.0).contains(&factor) {
                    break;
                }
                h *= factor.clamp(0.01, 30.0);
                h = h.min(0.3 * x[i].abs().max(1.0));
            }
            h
        })
        .collect()
}

/// Returns the second derivatives for given steps.
fn plain_hessian(f: &mut Function, x: &[f64], here: f64, steps: &[f64]) -> Vec<Vec<f64>> {
    let k = x.len();
    let mut out = vec![vec![0.0; k]; k];
    for i in 0..k {
        let h = steps[i];
        let up = moved(f, x, &[(i, h)]);
        let down = moved(f, x, &[(i, -h)]);
        out[i][i] = (up - 2.0 * here + down) / (h * h);
        for j in 0..i {
            let g = steps[j];
            let mut corner = |a: f64, b: f64| moved(f, x, &[(i, a * h), (j, b * g)]);
            let sum = corner(1.0, 1.0) - corner(1.0, -1.0) - corner(-1.0, 1.0) + corner(-1.0, -1.0);
            out[i][j] = sum / (4.0 * h * g);
            out[j][i] = out[i][j];
        }
    }
    out
}

/// Returns the second derivatives, with one step of extrapolation when `fine`.
pub(super) fn hessian(
    f: &mut Function,
    x: &[f64],
    here: f64,
    steps: &[f64],
    fine: bool,
) -> Vec<Vec<f64>> {
    let mut narrow = plain_hessian(f, x, here, steps);
    if fine {
        let double: Vec<f64> = steps.iter().map(|h| h * 2.0).collect();
        let wide = plain_hessian(f, x, here, &double);
        for (row, other) in narrow.iter_mut().zip(&wide) {
            for (n, w) in row.iter_mut().zip(other) {
                *n = (4.0 * *n - w) / 3.0;
            }
        }
    }
    narrow
}
