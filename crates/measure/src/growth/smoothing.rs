//! The choice of the penalty factors, from the quadratic that a Newton step works on.
//! Moves factors within fixed limits only: at the upper one a curve is a straight line.
//! Fellner-Schall step: Wood & Fasiolo 2017; local GAIC: Rigby & Stasinopoulos 2014.

use super::basis::Basis;
use super::information::Objective;
use super::matrix::{Matrix, dot};
use super::model::Smoothing;
use super::shares::Shares;

/// Lower limit of the factors, relative to information over penalty.
const LOWEST: f64 = 1e-4;
/// Upper limit, in the same unit and relative to the softest bend of the penalty: what is left
/// of a bend is then about a thousandth of a degree of freedom.
const HIGHEST: f64 = 1e3;
/// Largest change of a factor in one step.
const LARGEST: f64 = 30.0;
/// Most times a step of one curve is lengthened.
const LONGEST: f64 = 20.0;
/// Steps of the search for the least criterion, in ln(factor), from coarse to fine.
const SEARCH: [f64; 5] = [2.0, 0.7, 0.25, 0.08, 0.02];
/// Most moves at one width of the search.
const MOVES: usize = 40;

/// Penalties of the three curves with their factors.
#[derive(Debug, Clone)]
pub(crate) struct Penalties {
    parts: [Option<(Matrix, f64)>; 3],
    offsets: [usize; 4],
    pub(crate) factors: [f64; 3],
    limits: [(f64, f64); 3],
    /// The last step of each curve in ln(factor), and how many times as long the next one is.
    steps: [f64; 3],
    strides: [f64; 3],
}

impl Penalties {
    pub(crate) fn new(
        bases: &[Basis; 3],
        objective: &Objective<'_>,
        information: &Matrix,
        smoothing: Smoothing,
    ) -> Self {
        let parts = bases.map(|basis| basis.penalty());
        let mut limits = [(0.0, f64::INFINITY); 3];
        let mut factors = [0.0; 3];
        for curve in 0..3 {
            let Some((penalty, _)) = &parts[curve] else {
                continue;
            };
            let (mut above, mut below) = (0.0, 0.0);
            for i in 0..penalty.size() {
                let at = objective.offsets[curve] + i;
                above += information.get(at, at);
                below += penalty.get(i, i);
            }
            let ratio = above / below;
            // The softest bend of second differences is that of a free beam.
            let softest = (4.73 / penalty.size() as f64).powi(4);
            limits[curve] = (LOWEST * ratio, HIGHEST * ratio * 6.0 / softest);
            factors[curve] = match smoothing {
                Smoothing::Fixed(fixed) => fixed[curve],
                _ => ratio,
            };
        }
        Self {
            parts,
            offsets: objective.offsets,
            factors,
            limits,
            steps: [0.0; 3],
            strides: [1.0; 3],
        }
    }

    /// Returns whether any curve is penalised.
    pub(crate) fn any(&self) -> bool {
        self.parts.iter().any(Option::is_some)
    }

    /// Returns whether a curve sits at its upper limit, that is, is a straight line.
    pub(crate) fn straight(&self, curve: usize) -> bool {
        self.parts[curve].is_some() && self.factors[curve] >= 0.999 * self.limits[curve].1
    }

    /// Returns information plus penalty.
    pub(crate) fn added(&self, information: &Matrix) -> Matrix {
        let mut sum = information.clone();
        for (curve, part) in self.parts.iter().enumerate() {
            let Some((penalty, _)) = part else { continue };
            let first = self.offsets[curve];
            for i in 0..penalty.size() {
                for j in i.saturating_sub(2)..(i + 3).min(penalty.size()) {
                    let value = self.factors[curve] * penalty.get(i, j);
                    sum.add(first + i, first + j, value);
                }
            }
        }
        sum
    }

    /// Returns the score minus the slope of the penalty.
    pub(crate) fn score(&self, score: &[f64], all: &[f64]) -> Vec<f64> {
        let mut result = score.to_vec();
        for (curve, part) in self.parts.iter().enumerate() {
            if part.is_none() {
                continue;
            }
            let range = self.offsets[curve]..self.offsets[curve + 1];
            // Through the differences: sums of large terms would lose what is left of them.
            let bends = bends(&all[range.clone()]);
            let slots = &mut result[range];
            for (first, bend) in bends.enumerate() {
                for (slot, sign) in slots[first..].iter_mut().zip([1.0, -2.0, 1.0]) {
                    *slot -= self.factors[curve] * sign * bend;
                }
            }
        }
        result
    }

    /// Returns half the penalty, which is taken off the log-likelihood.
    pub(crate) fn half(&self, all: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (curve, part) in self.parts.iter().enumerate() {
            if part.is_some() {
                let range = self.offsets[curve]..self.offsets[curve + 1];
                sum += 0.5 * self.factors[curve] * roughness(&all[range]);
            }
        }
        sum
    }

    /// Returns the effective degrees of freedom of each curve.
    pub(crate) fn freedom(&self, information: &Matrix) -> Option<[f64; 3]> {
        let inverse = self.added(information).factor()?.inverse();
        Some(self.freedom_with(&inverse, information))
    }

    fn freedom_with(&self, inverse: &Matrix, information: &Matrix) -> [f64; 3] {
        [0, 1, 2].map(|curve| {
            let mut sum = 0.0;
            for i in self.offsets[curve]..self.offsets[curve + 1] {
                for j in 0..information.size() {
                    sum += inverse.get(i, j) * information.get(j, i);
                }
            }
            sum
        })
    }

    /// Moves the factors one step towards the best ones.
    pub(crate) fn choose(
        &mut self,
        smoothing: Smoothing,
        people: f64,
        information: &Matrix,
        score: &[f64],
        all: &[f64],
    ) {
        match smoothing {
            Smoothing::Fixed(_) => {}
            Smoothing::Reml => self.fellner_schall(information, all),
            Smoothing::Gaic(k) => self.search(k, information, score, all),
            Smoothing::Bic => self.search(people.ln(), information, score, all),
        }
    }

    /// Goes only a share of the way (of the logarithms) from earlier factors.
    pub(crate) fn part_way(&mut self, before: [f64; 3], share: f64) {
        for (factor, before) in self.factors.iter_mut().zip(before) {
            if share < 1.0 && before > 0.0 {
                *factor = before * (*factor / before).powf(share);
            }
        }
    }

    fn fellner_schall(&mut self, information: &Matrix, all: &[f64]) {
        let Some(factor) = self.added(information).factor() else {
            return;
        };
        let inverse = factor.inverse();
        for curve in 0..3 {
            let Some(shares) = self.shares(curve, &inverse) else {
                continue;
            };
            let range = self.offsets[curve]..self.offsets[curve + 1];
            let form = self.factors[curve] * roughness(&all[range]);
            // At the top of the marginal likelihood times Jeffreys' density the ratio is 1.
            let ratio = shares.sum / (form + 2.0 * shares.fall());
            let step = if ratio.is_finite() {
                ratio.clamp(1.0 / LARGEST, LARGEST).ln()
            } else {
                LARGEST.ln()
            };
            // Steps that keep going one way are made longer, as they shrink only slowly.
            let same_way = step * self.steps[curve] > 0.0;
            self.strides[curve] = if same_way {
                (self.strides[curve] * 1.5).min(LONGEST)
            } else {
                1.0
            };
            self.steps[curve] = step;
            let step = (self.strides[curve] * step).clamp(-LARGEST.ln(), LARGEST.ln());
            self.factors[curve] = self.limited(curve, self.factors[curve] * step.exp());
        }
    }

    /// The shares of the bends of a curve that the data settle; nothing for a polynomial.
    fn shares(&self, curve: usize, inverse: &Matrix) -> Option<Shares> {
        let (penalty, rank) = self.parts[curve].as_ref()?;
        let (first, size) = (self.offsets[curve], penalty.size());
        let mut left = Matrix::zeros(size);
        for i in 0..size {
            for j in 0..size {
                for k in j.saturating_sub(2)..(j + 3).min(size) {
                    let part = inverse.get(first + i, first + k) * penalty.get(k, j);
                    left.add(i, j, self.factors[curve] * part);
                }
            }
        }
        Some(Shares::new(&left, *rank))
    }

    /// Returns the logarithm of the density of the bends at 0 and of Jeffreys' density of the
    /// factors, up to a constant; `inverse` is that of information plus penalty.
    pub(crate) fn prior(&self, inverse: &Matrix) -> f64 {
        let mut sum = 0.0;
        for (curve, part) in self.parts.iter().enumerate() {
            if let (Some((_, rank)), Some(shares)) = (part, self.shares(curve, inverse)) {
                sum += 0.5 * rank * self.factors[curve].ln() + shares.log_density();
            }
        }
        sum
    }

    /// Moves a factor by this much in ln(factor); returns false where that passes its limits.
    pub(crate) fn shift(&mut self, curve: usize, way: f64) -> bool {
        let factor = self.factors[curve] * way.exp();
        let within = self.parts[curve].is_some() && self.limited(curve, factor) == factor;
        if within {
            self.factors[curve] = factor;
        }
        within
    }

    /// The least criterion on the quadratic, by moves along one factor at a time.
    fn search(&mut self, k: f64, information: &Matrix, score: &[f64], all: &[f64]) {
        let Some(mut best) = self.criterion(k, information, score, all) else {
            return;
        };
        for width in SEARCH {
            for _ in 0..MOVES {
                let before = best;
                for curve in 0..3 {
                    for way in [width, -width] {
                        let mut trial = self.clone();
                        trial.factors[curve] = self.limited(curve, self.factors[curve] * way.exp());
                        if trial.factors == self.factors {
                            continue;
                        }
                        if let Some(value) = trial.criterion(k, information, score, all)
                            && value < best
                        {
                            best = value;
                            self.factors = trial.factors;
                            break;
                        }
                    }
                }
                if best >= before {
                    break;
                }
            }
        }
    }

    /// The criterion after a Newton step with these factors, up to a constant.
    fn criterion(&self, k: f64, information: &Matrix, score: &[f64], all: &[f64]) -> Option<f64> {
        let factor = self.added(information).factor()?;
        let step = factor.solve(&self.score(score, all));
        let fit = information.form(&step) - 2.0 * dot(score, &step);
        let freedom = self.freedom_with(&factor.inverse(), information);
        Some(fit + k * freedom.iter().sum::<f64>())
    }

    fn limited(&self, curve: usize, factor: f64) -> f64 {
        if self.parts[curve].is_some() {
            factor.clamp(self.limits[curve].0, self.limits[curve].1)
        } else {
            factor
        }
    }
}

/// The second differences of coefficients.
fn bends(coefficients: &[f64]) -> impl Iterator<Item = f64> + '_ {
    coefficients
        .windows(3)
        .map(|three| (three[2] - three[1]) - (three[1] - three[0]))
}

/// The sum of their squares.
fn roughness(coefficients: &[f64]) -> f64 {
    bends(coefficients).map(|bend| bend * bend).sum()
}
