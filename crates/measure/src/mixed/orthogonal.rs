//! Turns the fixed columns into orthonormal ones and the response into its residual.
//! Keeps digits when columns or response have a large mean; refuses dependent columns.
//! Method: Gram-Schmidt done twice (Bjorck 1994, from memory).

use super::guard::fault;
use super::{Column, Data};
use crate::MeasureError;

/// A column counts as dependent when less than this share of its length is left.
const DEPENDENT: f64 = 1e-7;
/// A response counts as fitted exactly when less than this share of its size is left.
const EXACT: f64 = 1e-12;

/// Orthonormal fixed columns with the triangle that leads back, and the scaled residual.
pub(super) struct Orthogonal {
    /// Orthonormal columns under the weights.
    pub(super) q: Vec<Vec<f64>>,
    /// Upper triangle: column k of the design is the sum over j <= k of `q_j r[j][k]`.
    pub(super) r: Vec<Vec<f64>>,
    /// Least-squares coefficients of the fixed columns.
    pub(super) start: Vec<f64>,
    /// Residual of the response, divided by `scale`.
    pub(super) residual: Vec<f64>,
    /// Root mean square of the residual, unit of the response.
    pub(super) scale: f64,
}

fn dot(a: &[f64], b: &[f64], w: &[f64]) -> f64 {
    a.iter().zip(b).zip(w).map(|((a, b), w)| a * b * w).sum()
}

/// Takes the part along each of `q` out of `v`, twice; returns the coefficients.
fn project(v: &mut [f64], q: &[Vec<f64>], w: &[f64]) -> Vec<f64> {
    let mut total = vec![0.0; q.len()];
    for _ in 0..2 {
        for (sum, axis) in total.iter_mut().zip(q) {
            let along = dot(v, axis, w);
            *sum += along;
            for (x, a) in v.iter_mut().zip(axis) {
                *x -= along * a;
            }
        }
    }
    total
}

/// Solves r x = b for an upper triangle.
pub(super) fn back_substitute(r: &[Vec<f64>], b: &[f64]) -> Vec<f64> {
    let mut x = b.to_vec();
    for i in (0..x.len()).rev() {
        for k in i + 1..x.len() {
            x[i] -= r[i][k] * x[k];
        }
        x[i] /= r[i][i];
    }
    x
}

/// Orthogonalises the fixed columns of `data` under weights `w` (mean 1).
pub(super) fn orthogonalise(data: &Data, w: &[f64]) -> Result<Orthogonal, MeasureError> {
    let fixed = &data.design.fixed;
    let p = fixed.len();
    let mut q: Vec<Vec<f64>> = Vec::with_capacity(p);
    let mut r = vec![vec![0.0; p]; p];
    for (k, column) in fixed.iter().enumerate() {
        let (axis, along, length) = next_axis(column, &q, w)?;
        for (j, value) in along.into_iter().enumerate() {
            r[j][k] = value;
        }
        r[k][k] = length;
        q.push(axis);
    }
    let mut residual = data.response.clone();
    let largest = residual.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    if largest > 1e150 {
        return Err(MeasureError::Overflow {
            what: "the mixed model",
        });
    }
    let along = project(&mut residual, &q, w);
    let start = back_substitute(&r, &along);
    let rest = residual.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    if rest <= EXACT * largest || rest < 1e-140 {
        return Err(MeasureError::NoSpread {
            what: "the responses, once the fixed columns are taken out,",
            hint: "check that the response was not copied into a column",
        });
    }
    let scale = rest
        * (residual.iter().map(|v| (v / rest).powi(2)).sum::<f64>() / residual.len() as f64).sqrt();
    residual.iter_mut().for_each(|v| *v /= scale);
    Ok(Orthogonal {
        q,
        r,
        start,
        residual,
        scale,
    })
}

type Axis = (Vec<f64>, Vec<f64>, f64);

fn next_axis(column: &Column, q: &[Vec<f64>], w: &[f64]) -> Result<Axis, MeasureError> {
    let largest = column.values.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    if largest == 0.0 || !(1e-140..1e140).contains(&largest) {
        return Err(fault(
            format!("fixed column `{}`", column.name),
            format!("{largest} as its largest size"),
            "a column that is not zero and not astronomically large",
            "leave it out or change its unit",
        ));
    }
    let mut v: Vec<f64> = column.values.iter().map(|x| x / largest).collect();
    let before = dot(&v, &v, w).sqrt();
    let mut along = project(&mut v, q, w);
    let length = dot(&v, &v, w).sqrt();
    if length <= DEPENDENT * before {
        return Err(fault(
            format!("fixed column `{}`", column.name),
            "a sum of multiples of the columns before it",
            "columns that each add something",
            "leave it out; with a factor and an intercept, one level needs no column",
        ));
    }
    v.iter_mut().for_each(|x| *x /= length);
    along.iter_mut().for_each(|x| *x *= largest);
    Ok((v, along, length * largest))
}
