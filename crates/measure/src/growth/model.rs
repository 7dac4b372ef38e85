//! What is to be fitted: the shape of L, M and S over age and how smooth they are to be.
//! Checks a model against the data before anything is computed.
//! Fellner-Schall: Wood & Fasiolo 2017; generalised AIC: Rigby & Stasinopoulos 2005.

use super::basis::{Basis, Shape};
use super::sample::Sample;
use crate::{MeasureError, check};

/// Fewest people for each coefficient of an unpenalised curve.
const PEOPLE_A_COEFFICIENT: f64 = 5.0;
/// Fewest people for penalised curves.
const PEOPLE_FOR_SPLINES: f64 = 100.0;
/// Fewest different ages for a penalised curve.
const AGES_FOR_SPLINES: usize = 4;

/// Whether the median itself or its logarithm follows the curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MedianScale {
    /// M is the curve; coefficients in the unit of the value.
    Value,
    /// ln M is the curve, so M stays above 0.
    Log,
}

/// How the smoothness of spline curves is chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Smoothing {
    /// Fellner-Schall steps towards the largest Laplace-approximate marginal likelihood times
    /// Jeffreys' density of ln(factor); the curves are then their mean over the smoothness.
    Reml,
    /// Least -2 log-likelihood + k x effective degrees of freedom, k above 0; 2 is AIC.
    Gaic(f64),
    /// The same with k = ln(people).
    Bic,
    /// Penalty factors for L, M and S, above 0, on the fit's own scale of the values.
    Fixed([f64; 3]),
}

/// A model for L, M and ln S over age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Model {
    /// Shape of L.
    pub l: Shape,
    /// Shape of M or ln M.
    pub m: Shape,
    /// Shape of ln S.
    pub s: Shape,
    /// Scale on which the median follows its curve.
    pub median: MedianScale,
    /// Centre and unit of age in polynomials; none takes the middle and half of the range.
    pub age_scale: Option<(f64, f64)>,
    /// How smoothness is chosen; without spline curves it has no effect.
    pub smoothing: Smoothing,
    /// Most Newton steps, 1 or more.
    pub iterations: u32,
}

impl Model {
    /// Makes a model of polynomials with these degrees for L, M and ln S.
    pub fn polynomial(l: usize, m: usize, s: usize) -> Self {
        Self {
            l: Shape::Polynomial(l),
            m: Shape::Polynomial(m),
            s: Shape::Polynomial(s),
            median: MedianScale::Value,
            age_scale: None,
            smoothing: Smoothing::Reml,
            iterations: 200,
        }
    }

    /// Makes a model of penalised splines: 8 stretches for L, 15 for ln M, 8 for ln S.
    pub fn smooth() -> Self {
        Self {
            l: Shape::Spline(8),
            m: Shape::Spline(15),
            s: Shape::Spline(8),
            median: MedianScale::Log,
            ..Self::polynomial(0, 0, 0)
        }
    }

    /// Checks the model against the data and returns the three bases.
    pub(crate) fn bases(&self, sample: &Sample) -> Result<[Basis; 3], MeasureError> {
        if self.iterations == 0 {
            return Err(MeasureError::TooFew {
                what: "Newton steps of a fit",
                found: 0,
                needed: 1,
            });
        }
        self.check_smoothing()?;
        let ages = sample.ages();
        let span = check::result("the range of ages", ages.1 - ages.0)?;
        let unit = if span > 0.0 { 0.5 * span } else { 1.0 };
        let scale = match self.age_scale {
            Some((centre, unit)) => (
                check::finite("centre of age", centre)?,
                check::positive("unit of age", unit)?,
            ),
            None => (ages.0 + 0.5 * span, unit),
        };
        for shape in [self.l, self.m, self.s] {
            check_shape(shape, sample)?;
        }
        self.check_people(sample)?;
        Ok([self.l, self.m, self.s].map(|shape| Basis::new(shape, ages, scale)))
    }

    fn check_smoothing(&self) -> Result<(), MeasureError> {
        match self.smoothing {
            Smoothing::Gaic(k) => check::positive("k of the generalised AIC", k).map(drop),
            Smoothing::Fixed(factors) => factors
                .into_iter()
                .try_for_each(|f| check::positive("penalty factor", f).map(drop)),
            Smoothing::Reml | Smoothing::Bic => Ok(()),
        }
    }

    fn check_people(&self, sample: &Sample) -> Result<(), MeasureError> {
        let mut needed: f64 = 0.0;
        let mut splines = false;
        for shape in [self.l, self.m, self.s] {
            match shape {
                Shape::Polynomial(degree) => needed += PEOPLE_A_COEFFICIENT * (degree as f64 + 1.0),
                Shape::Spline(_) => splines = true,
            }
        }
        if splines {
            needed = needed.max(PEOPLE_FOR_SPLINES);
        }
        if sample.people() < needed {
            return Err(MeasureError::TooFew {
                what: "people of a reference sample",
                found: sample.people() as usize,
                needed: needed as usize,
            });
        }
        Ok(())
    }
}

fn check_shape(shape: Shape, sample: &Sample) -> Result<(), MeasureError> {
    let needed = match shape {
        Shape::Polynomial(degree) => {
            let what = "degree of a polynomial";
            check::within(
                what,
                degree as f64,
                degree <= 6,
                "a whole number from 0 to 6",
            )?;
            degree + 1
        }
        Shape::Spline(stretches) => {
            check::within(
                "stretches of a spline",
                stretches as f64,
                (2..=60).contains(&stretches),
                "a whole number from 2 to 60",
            )?;
            AGES_FOR_SPLINES
        }
    };
    if sample.different_ages() < needed {
        return Err(MeasureError::TooFew {
            what: "different ages for a curve of this shape",
            found: sample.different_ages(),
            needed,
        });
    }
    Ok(())
}
