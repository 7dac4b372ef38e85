//! One step of the random walk on a grid: a symmetric kernel, cut off and of sum 1.
//! Mean and variance are those of the normal step, however short it is.
//! Formula: docs/methods/level.md, "The grid".

/// Up to here three points carry the step, up to 1 five: they match four moments.
const THREE_POINTS: f64 = 1.0 / 3.0;

/// Writes k(0), k(1), ... k(reach) for a step of this variance in squared spacings.
///
/// `reach` is what the caller allows for long steps; short ones need 1 or 2.
pub(super) fn build(variance: f64, reach: usize, out: &mut Vec<f64>) {
    out.clear();
    if variance <= 0.0 {
        out.push(1.0);
    } else if variance <= THREE_POINTS {
        out.extend([1.0 - variance, 0.5 * variance]);
    } else if variance <= 1.0 {
        let second = (3.0 * variance * variance - variance) / 24.0;
        let first = 0.5 * variance - 4.0 * second;
        out.extend([1.0 - 2.0 * (first + second), first, second]);
    } else {
        // Sampled density: its own variance is right to exp(-2 pi^2), 3e-9.
        let rate = -0.5 / variance;
        out.extend((0..=reach).map(|k| (rate * (k * k) as f64).exp()));
        let sum: f64 = 2.0 * out.iter().skip(1).sum::<f64>() + 1.0;
        out.iter_mut().for_each(|k| *k /= sum);
    }
}

/// Writes the convolution of `input` with the kernel to `output`; what leaves the grid is lost.
///
/// `padded` is a buffer that the call grows as needed.
pub(super) fn convolve(input: &[f64], kernel: &[f64], padded: &mut Vec<f64>, output: &mut [f64]) {
    let (points, reach) = (input.len(), kernel.len() - 1);
    padded.clear();
    padded.resize(points + 2 * reach, 0.0);
    padded[reach..reach + points].copy_from_slice(input);
    let middle = kernel[0];
    for (out, value) in output.iter_mut().zip(input) {
        *out = middle * value;
    }
    for (distance, &weight) in kernel.iter().enumerate().skip(1) {
        let left = &padded[reach - distance..reach - distance + points];
        let right = &padded[reach + distance..reach + distance + points];
        for ((out, a), b) in output.iter_mut().zip(left).zip(right) {
            *out += weight * (a + b);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sum_and_variance_are_those_of_the_step() {
        for variance in [0.0_f64, 0.01, 0.3, 0.34, 0.9, 1.0, 1.001, 4.0, 90.0] {
            let mut kernel = Vec::new();
            build(variance, (8.0 * variance.sqrt()) as usize + 8, &mut kernel);
            assert!(kernel.iter().all(|&k| k >= 0.0), "variance {variance}");
            let sum: f64 = kernel[0] + 2.0 * kernel.iter().skip(1).sum::<f64>();
            let square = |(d, k): (usize, &f64)| 2.0 * (d * d) as f64 * k;
            let got: f64 = kernel.iter().enumerate().map(square).sum();
            assert!((sum - 1.0).abs() < 1e-14);
            // Sampling alone changes the variance by 2 variance^2 (2 pi)^2 exp(-2 pi^2 variance).
            assert!((got - variance).abs() < 3e-7, "variance {variance}: {got}");
            if variance > THREE_POINTS {
                let fourth = |(d, k): (usize, &f64)| 2.0 * (d * d * d * d) as f64 * k;
                let got: f64 = kernel.iter().enumerate().map(fourth).sum();
                let want = 3.0 * variance * variance;
                assert!(
                    (got - want).abs() < 5e-6 * want.max(1.0),
                    "variance {variance}: {got}"
                );
            }
        }
    }

    #[test]
    fn a_point_spreads_to_the_kernel_and_edges_lose() {
        let (mut padded, mut out) = (Vec::new(), vec![0.0; 5]);
        convolve(
            &[0.0, 0.0, 1.0, 0.0, 0.0],
            &[0.5, 0.2, 0.05],
            &mut padded,
            &mut out,
        );
        assert_eq!(out, [0.05, 0.2, 0.5, 0.2, 0.05]);
        convolve(
            &[1.0, 0.0, 0.0, 0.0, 0.0],
            &[0.5, 0.2, 0.05],
            &mut padded,
            &mut out,
        );
        assert_eq!(out, [0.5, 0.2, 0.05, 0.0, 0.0]);
    }
}
