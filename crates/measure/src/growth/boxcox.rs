//! z of the LMS model with its derivatives, and the likelihood of a value and of a bin.
//! Parameters are L, ln M and ln S at one age; the value comes as u = ln(y / M).
//! Formulas: own derivation from z = ((y/M)^L - 1) / (L S), Cole & Green 1992.

use crate::dist;

/// Below this |L u| the series is used: the closed form would lose digits.
const SERIES_BELOW: f64 = 0.2;
/// A bin with less than this chance is taken as lying at its nearer end.
const VANISHING: f64 = 1e-290;
const HALF_LN_TWO_PI: f64 = 0.918_938_533_204_672_7;

/// Pairs of L, M, S in the order of a packed symmetric 3 x 3 matrix.
pub(crate) const PAIRS: [(usize, usize); 6] = [(0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)];

/// z with its first and second derivatives by L, ln M and ln S.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Jet {
    pub(crate) z: f64,
    pub(crate) first: [f64; 3],
    second: [f64; 6],
}

/// Log-likelihood with gradient and Hessian by L, ln M and ln S.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Term {
    pub(crate) value: f64,
    pub(crate) gradient: [f64; 3],
    pub(crate) hessian: [f64; 6],
}

impl Term {
    /// Adds a term that stands for `weight` people.
    pub(crate) fn add(&mut self, other: &Self, weight: f64) {
        self.value += weight * other.value;
        for (sum, part) in self.gradient.iter_mut().zip(other.gradient) {
            *sum += weight * part;
        }
        for (sum, part) in self.hessian.iter_mut().zip(other.hessian) {
            *sum += weight * part;
        }
    }
}

/// Returns z for u = ln(y / M).
pub(crate) fn z(l: f64, u: f64, s: f64) -> f64 {
    let t = l * u;
    if t.abs() < 1e-5 {
        u * (1.0 + t / 2.0 + t * t / 6.0 + t * t * t / 24.0) / s
    } else {
        t.exp_m1() / (l * s)
    }
}

/// Returns z with derivatives.
pub(crate) fn jet(l: f64, u: f64, s: f64) -> Jet {
    let t = l * u;
    let power = t.exp();
    let z = z(l, u, s);
    let (one, two) = moments(t, power);
    let by_l = u * u * one / s;
    let by_m = -power / s;
    Jet {
        z,
        first: [by_l, by_m, -z],
        second: [
            u * u * u * two / s,
            -u * power / s,
            -by_l,
            l * power / s,
            -by_m,
            z,
        ],
    }
}

/// The integrals of x e^(tx) and x^2 e^(tx) over x from 0 to 1.
fn moments(t: f64, power: f64) -> (f64, f64) {
    if t.abs() >= SERIES_BELOW {
        let square = t * t;
        return (
            (t * power - power + 1.0) / square,
            (square * power - 2.0 * t * power + 2.0 * power - 2.0) / (square * t),
        );
    }
    let (mut one, mut two, mut term) = (0.0, 0.0, 1.0);
    for k in 0..10 {
        let k = f64::from(k);
        one += term / (k + 2.0);
        two += term / (k + 3.0);
        term *= t / (k + 1.0);
    }
    (one, two)
}

/// The log density of a value, per unit of the value, with derivatives.
pub(crate) fn point(l: f64, ln_m: f64, ln_s: f64, s: f64, ln_y: f64) -> Term {
    let u = ln_y - ln_m;
    let jet = jet(l, u, s);
    let mut term = tail(&jet);
    term.value += l * u - ln_y - ln_s - HALF_LN_TWO_PI;
    term.gradient[0] += u;
    term.gradient[1] -= l;
    term.gradient[2] -= 1.0;
    term.hessian[1] -= 1.0;
    term
}

/// The log density alone.
pub(crate) fn point_value(l: f64, ln_m: f64, ln_s: f64, s: f64, ln_y: f64) -> f64 {
    let u = ln_y - ln_m;
    let z = z(l, u, s);
    -0.5 * z * z + l * u - ln_y - ln_s - HALF_LN_TWO_PI
}

/// -z^2 / 2 with derivatives.
fn tail(jet: &Jet) -> Term {
    let mut term = Term {
        value: -0.5 * jet.z * jet.z,
        ..Term::default()
    };
    for (slot, first) in term.gradient.iter_mut().zip(jet.first) {
        *slot = -jet.z * first;
    }
    for (index, (a, b)) in PAIRS.into_iter().enumerate() {
        term.hessian[index] = -jet.first[a] * jet.first[b] - jet.z * jet.second[index];
    }
    term
}

/// The log of the chance of a bin; an end that is not there is open.
pub(crate) fn bin(low: Option<&Jet>, high: Option<&Jet>) -> Term {
    let chance = chance(low.map(|j| j.z), high.map(|j| j.z));
    if chance < VANISHING {
        let near = match (low, high) {
            (Some(low), Some(high)) if low.z.abs() > high.z.abs() => high,
            (Some(low), _) => low,
            (None, Some(high)) => high,
            (None, None) => return Term::default(),
        };
        return tail(near);
    }
    let mut term = Term {
        value: chance.ln(),
        ..Term::default()
    };
    for (jet, sign) in [(high, 1.0), (low, -1.0)] {
        let Some(jet) = jet else { continue };
        let height = sign * (-0.5 * jet.z * jet.z - HALF_LN_TWO_PI).exp() / chance;
        for (slot, first) in term.gradient.iter_mut().zip(jet.first) {
            *slot += height * first;
        }
        for (index, (a, b)) in PAIRS.into_iter().enumerate() {
            term.hessian[index] +=
                height * (jet.second[index] - jet.z * jet.first[a] * jet.first[b]);
        }
    }
    for (index, (a, b)) in PAIRS.into_iter().enumerate() {
        term.hessian[index] -= term.gradient[a] * term.gradient[b];
    }
    term
}

/// The log of the chance alone, with the same rule far out as `bin`.
pub(crate) fn bin_value(low: Option<f64>, high: Option<f64>) -> f64 {
    let chance = chance(low, high);
    if chance >= VANISHING {
        return chance.ln();
    }
    let near = match (low, high) {
        (Some(low), Some(high)) => low.abs().min(high.abs()),
        (Some(z), None) | (None, Some(z)) => z,
        (None, None) => 0.0,
    };
    -0.5 * near * near
}

/// The chance between two z, worked out in the tail where the digits are.
fn chance(low: Option<f64>, high: Option<f64>) -> f64 {
    let (low, high) = (
        low.unwrap_or(f64::NEG_INFINITY),
        high.unwrap_or(f64::INFINITY),
    );
    if low > 0.0 {
        dist::lower_tail(-low, None) - dist::lower_tail(-high, None)
    } else {
        dist::lower_tail(high, None) - dist::lower_tail(low, None)
    }
}

/// The expected information of one person about L, ln M and ln S each, to the leading order in
/// S; the mixed terms are left out, which keeps it positive whatever L is.
pub(crate) fn expected(l: f64, s: f64) -> [f64; 3] {
    let square = s * s;
    [1.75 * square, 1.0 / square + 2.0 * l * l, 2.0]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Central differences with a step of 1e-5 keep about nine digits of a slope.
    const NUMERIC: f64 = 2e-7;

    /// A term at (L, ln M, ln S).
    type At = dyn Fn([f64; 3]) -> Term;

    fn check(at: &At, place: [f64; 3]) {
        let here = at(place);
        for (a, slope) in here.gradient.into_iter().enumerate() {
            let step = |way: f64| {
                let mut moved = place;
                moved[a] += way * 1e-5;
                at(moved)
            };
            let (up, down) = (step(1.0), step(-1.0));
            let close = |got: f64, want: f64| {
                let scale = here.hessian.iter().fold(1.0_f64, |m, h| m.max(h.abs()));
                assert!(
                    (got - want).abs() < NUMERIC * scale,
                    "{place:?}: {got} {want}"
                );
            };
            close(slope, (up.value - down.value) / 2e-5);
            for (index, (i, j)) in PAIRS.into_iter().enumerate() {
                if i == a || j == a {
                    let other = if i == a { j } else { i };
                    let want = (up.gradient[other] - down.gradient[other]) / 2e-5;
                    close(here.hessian[index], want);
                }
            }
        }
    }

    #[test]
    fn derivatives_are_those_of_the_value() {
        for l in [-1.7, -0.3, -1e-9, 0.0, 1e-6, 0.9, 2.5] {
            for ln_y in [6.2, 6.6, 6.9, 7.3] {
                let place = [l, 6.7, -1.8];
                check(&move |[l, m, s]| point(l, m, s, s.exp(), ln_y), place);
                for width in [Some(0.003), Some(0.4), None] {
                    let bin_at = move |[l, m, s]: [f64; 3]| {
                        let low = jet(l, ln_y - m, s.exp());
                        let high = width.map(|w| jet(l, ln_y + w - m, s.exp()));
                        bin(Some(&low), high.as_ref())
                    };
                    check(&bin_at, place);
                }
            }
        }
    }

    #[test]
    fn values_alone_are_the_same_values() {
        for ln_y in [5.0, 6.7, 7.9] {
            let (l, m, s) = (0.6, 6.7, -1.8_f64);
            let whole = point(l, m, s, s.exp(), ln_y).value;
            assert!((point_value(l, m, s, s.exp(), ln_y) - whole).abs() < 1e-12);
            let ends = [ln_y, ln_y + 0.1].map(|y| jet(l, y - m, s.exp()));
            let whole = bin(Some(&ends[0]), Some(&ends[1])).value;
            assert!((bin_value(Some(ends[0].z), Some(ends[1].z)) - whole).abs() < 1e-12);
        }
    }
}
