//! What the command line says about the shape of a fit.

use plimsoll_desk::reference::FitModel;

use crate::cli::ReferenceFit;
use crate::failure::Failure;

/// Returns the model asked for: smooth unless degrees are given.
pub fn model(args: &ReferenceFit) -> Result<FitModel, Failure> {
    let Some(written) = args.polynomial.as_deref() else {
        return Ok(FitModel::smooth());
    };
    let bad = || {
        Failure::new(format!(
            "--polynomial is `{written}`; allowed are three degrees from 0 to 6"
        ))
        .hint("write the degrees of L, M and S with commas: 0,2,1")
    };
    let degrees: Vec<usize> = written
        .split(',')
        .map(|d| d.trim().parse::<usize>().map_err(|_| bad()))
        .collect::<Result<_, _>>()?;
    let [l, m, s] = degrees[..] else {
        return Err(bad());
    };
    if l.max(m).max(s) > 6 {
        return Err(bad());
    }
    let mut model = FitModel::polynomial(l, m, s);
    if let Some(scale) = args.age_scale.as_deref() {
        let bad = || {
            Failure::new(format!(
                "--age-scale is `{scale}`; allowed are a centre and a unit above 0"
            ))
            .hint("write both with a comma: 13,10 makes x = (age - 13) / 10")
        };
        let (centre, unit) = scale.split_once(',').ok_or_else(bad)?;
        let centre: f64 = centre.trim().parse().map_err(|_| bad())?;
        let unit: f64 = unit.trim().parse().map_err(|_| bad())?;
        if !(centre.is_finite() && unit.is_finite() && unit > 0.0) {
            return Err(bad());
        }
        model.age_scale = Some((centre, unit));
    }
    Ok(model)
}
