//! Fits a model: checks, sums, search, report.
//! The steps are in the other files; here they are put in order.

use super::components::lots;
use super::effects::{FactorEffects, effects};
use super::factors::gather;
use super::guard;
use super::objective::{Point, Problem};
use super::orthogonal::{back_substitute, orthogonalise};
use super::outcome::{FixedEffect, RandomColumn, State, TermEstimate};
use super::search::best;
use super::stats::sum;
use super::theta::{Layout, covariance};
use super::{Convergence, Criterion, Data, Fit, RandomTerm, Settings, Weights};
use crate::{MeasureError, check};

/// A random part smaller than this share of the error counts as vanished.
const SINGULAR: f64 = 1e-4;
/// An error smaller than this share of the response (squared) counts as an exact fit.
const EXACT: f64 = 1e-10;

/// Fits a linear mixed model by REML or ML.
pub fn fit(data: &Data, settings: &Settings) -> Result<Fit, MeasureError> {
    guard::data(data)?;
    let (weights, mean_weight) = relative_weights(data)?;
    let fixed = orthogonalise(data, &weights)?;
    let factors = gather(&data.design.random)?;
    let lots = lots(&factors, settings.structure);
    let stats = sum(factors, lots, &fixed, &weights)?;
    let layout = Layout::new(&stats.shapes);
    let known = matches!(data.weights, Weights::KnownVariance(_));
    let problem = Problem {
        stats,
        criterion: settings.criterion,
        known_sigma: known.then(|| 1.0 / (mean_weight.sqrt() * fixed.scale)),
        log_scale: 2.0 * fixed.scale.ln(),
        log_fixed: 2.0 * (0..fixed.r.len()).map(|k| fixed.r[k][k].ln()).sum::<f64>(),
        log_weights: weights.iter().map(|w| w.ln()).sum(),
    };
    let budget = settings.max_evaluations;
    let minimum = best(&problem, &layout, budget);
    let state = State {
        problem,
        layout,
        theta: minimum.x,
        sigma: 0.0,
        scale: fixed.scale,
        mean_weight,
        start: fixed.start,
        r: fixed.r,
        budget,
    };
    report(data, state, minimum.record)
}

/// Returns weights with mean 1, and their mean before.
fn relative_weights(data: &Data) -> Result<(Vec<f64>, f64), MeasureError> {
    let weights: Vec<f64> = match &data.weights {
        Weights::Equal => vec![1.0; data.response.len()],
        Weights::Prior(w) => w.clone(),
        Weights::KnownVariance(v) => v.iter().map(|v| 1.0 / v).collect(),
    };
    let mean = check::result("the mean weight", check::mean(&weights))?;
    Ok((weights.iter().map(|w| w / mean).collect(), mean))
}

fn unsolved() -> MeasureError {
    MeasureError::Undefined {
        what: "the mixed model",
        why: "a block of random effects could not be factored at the end of the search; change \
              the unit of very large or very small columns, or take a random column out"
            .into(),
    }
}

fn report(data: &Data, mut state: State, convergence: Convergence) -> Result<Fit, MeasureError> {
    let problem = &state.problem;
    let lambdas = state.layout.lambdas(&state.theta);
    let point = problem.point(&lambdas).ok_or_else(unsolved)?;
    if problem.known_sigma.is_none() && point.r2 / problem.stats.n as f64 <= EXACT {
        return Err(MeasureError::NoSpread {
            what: "the responses, once fixed columns and groups are taken out,",
            hint: "the model fits them exactly; take a random column out or look for copied rows",
        });
    }
    let sigma = problem.sigma(&point);
    let deviance = check::result(
        "the deviance",
        problem.deviance_at(&point, sigma, problem.criterion),
    )?;
    let by_factor = effects(problem, &lambdas, &point).ok_or_else(unsolved)?;
    state.sigma = sigma;
    let (fixed, covariance) = fixed_effects(data, &state, &point);
    let unit = sigma * state.scale;
    let terms: Vec<TermEstimate> = (0..data.design.random.len())
        .map(|t| {
            term(
                &data.design.random[t],
                &state,
                &lambdas,
                t,
                unit,
                &by_factor,
            )
        })
        .collect();
    let known = state.problem.known_sigma.is_some();
    let parameters = fixed.len() + state.theta.len() + usize::from(!known);
    Ok(Fit {
        criterion: state.problem.criterion,
        rows: data.response.len(),
        fixed,
        covariance,
        sigma: (!known).then(|| unit * state.mean_weight.sqrt()),
        theta: theta(
            &state,
            if known {
                unit
            } else {
                1.0 / state.mean_weight.sqrt()
            },
        ),
        log_likelihood: -deviance / 2.0,
        deviance,
        parameters,
        aic: deviance + 2.0 * parameters as f64,
        bic: deviance + (data.response.len() as f64).ln() * parameters as f64,
        convergence,
        singular: terms.iter().any(|t| t.singular),
        terms,
        state,
    })
}

/// Parameters in the units handed in.
fn theta(state: &State, unit: f64) -> Vec<f64> {
    let lambdas = state.layout.lambdas(&state.theta);
    let mut scaled = lambdas.clone();
    for (factor, shape) in state.problem.stats.shapes.iter().enumerate() {
        for (i, row) in scaled[factor].chunks_exact_mut(shape.q).enumerate() {
            row.iter_mut().for_each(|v| *v *= unit / shape.scales[i]);
        }
    }
    state.layout.read(&scaled)
}

fn fixed_effects(data: &Data, state: &State, point: &Point) -> (Vec<FixedEffect>, Vec<Vec<f64>>) {
    let p = point.gamma.len();
    let inverse = point.inverse();
    let shift = back_substitute(&state.r, &point.gamma);
    let unit = (state.sigma * state.scale).powi(2);
    let rows: Vec<Vec<f64>> = (0..p)
        .map(|k| {
            let mut contrast = vec![0.0; p];
            contrast[k] = 1.0;
            state.to_orthonormal(&contrast)
        })
        .collect();
    let product = |a: &[f64], b: &[f64]| -> f64 {
        (0..p * p).map(|i| a[i / p] * inverse[i] * b[i % p]).sum()
    };
    let covariance: Vec<Vec<f64>> = rows
        .iter()
        .map(|a| rows.iter().map(|b| unit * product(a, b)).collect())
        .collect();
    let fixed = (0..p)
        .map(|k| FixedEffect {
            name: data.design.fixed[k].name.clone(),
            estimate: state.start[k] + state.scale * shift[k],
            se: covariance[k][k].sqrt(),
        })
        .collect();
    (fixed, covariance)
}

fn term(
    term: &RandomTerm,
    state: &State,
    lambdas: &[Vec<f64>],
    t: usize,
    unit: f64,
    by_factor: &[FactorEffects],
) -> TermEstimate {
    let (factor, offset, q) = state.layout.terms[t];
    let shape = &state.problem.stats.shapes[factor];
    let scales = state.scales(t);
    let block = state.layout.block(lambdas, t);
    let sigma = covariance(&block);
    let sd: Vec<f64> = (0..q).map(|i| sigma[i][i].sqrt()).collect();
    let correlation = |i: usize, j: usize| {
        (sd[i] > 0.0 && sd[j] > 0.0).then(|| {
            if i == j {
                1.0
            } else {
                (sigma[i][j] / (sd[i] * sd[j])).clamp(-1.0, 1.0)
            }
        })
    };
    let pick = |values: &[f64], unit: f64| -> Vec<Vec<f64>> {
        values
            .chunks_exact(shape.q)
            .map(|row| (0..q).map(|i| row[offset + i] * unit / scales[i]).collect())
            .collect()
    };
    TermEstimate {
        name: term.name.clone(),
        columns: (0..q)
            .map(|i| RandomColumn {
                name: term.columns[i].name.clone(),
                sd: unit * sd[i] / scales[i],
            })
            .collect(),
        correlations: (0..q)
            .map(|i| (0..q).map(|j| correlation(i, j)).collect())
            .collect(),
        singular: (0..q).any(|i| block[i][i] < SINGULAR),
        levels: shape.labels.clone(),
        effects: pick(&by_factor[factor].effects, state.scale),
        conditional_sds: pick(&by_factor[factor].sds, unit),
    }
}

impl Fit {
    /// Returns whether the fit is by REML.
    pub(super) fn is_reml(&self) -> bool {
        self.criterion == Criterion::Reml
    }
}
