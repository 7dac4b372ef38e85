//! A fit to counts equals the fit to rows as bins shrink, and comes close at bins in use.

use std::collections::BTreeMap;

use plimsoll_measure::growth::{Cell, Curve, LmsFit, Model, Row, SE_LIMIT, Sample, Smoothing, fit};

use crate::golden::close_relative;
use crate::simulate::people;

/// Counts rows in bins of age and value; without an age width ages stay as they are.
fn count(rows: &[Row], age_width: Option<f64>, width: f64) -> Vec<Cell> {
    let mut counts: BTreeMap<(u64, u64), Cell> = BTreeMap::new();
    for row in rows {
        let age = age_width.map_or((row.age, row.age), |w| {
            let low = (row.age / w).floor() * w;
            (low, low + w)
        });
        let lower = (row.value / width).floor() * width;
        counts
            .entry((age.0.to_bits(), lower.to_bits()))
            .or_insert(Cell {
                age,
                lower,
                upper: lower + width,
                count: 0.0,
            })
            .count += 1.0;
    }
    counts.into_values().collect()
}

fn quadratic(sample: &Sample) -> LmsFit {
    let fit = fit(sample, &Model::polynomial(1, 2, 1)).expect("a fit");
    assert!(fit.convergence().converged, "{:?}", fit.convergence());
    fit
}

fn distance(a: &LmsFit, b: &LmsFit) -> f64 {
    let mut most: f64 = 0.0;
    for curve in [Curve::L, Curve::M, Curve::S] {
        let errors = a.standard_errors(curve);
        let pairs = a.coefficients(curve).iter().zip(b.coefficients(curve));
        for ((a, b), error) in pairs.zip(errors) {
            most = most.max((a - b).abs() / error);
        }
    }
    most
}

/// In units of the standard error: 100 m bins, 20 m, 2 m, 0.02 m (M is 400 to 1400, S near 0.2).
#[test]
fn shrinking_bins_lead_to_the_rows() {
    let rows = people(5_000, 3);
    let exact = quadratic(&Sample::from_rows(&rows).expect("rows"));
    let at = |width| {
        let cells = count(&rows, None, width);
        distance(
            &exact,
            &quadratic(&Sample::from_cells(&cells).expect("cells")),
        )
    };
    let (wide, used, fine, finest) = (at(100.0), at(20.0), at(2.0), at(0.02));
    assert!(wide < 1.0, "{wide}");
    assert!(used < 0.2, "{used}");
    assert!(fine < 0.02, "{fine}");
    assert!(finest < 1e-4, "{finest}");
}

/// The likelihood of narrow bins is the density times the width.
#[test]
fn likelihood_of_narrow_bins() {
    let rows = people(2_000, 4);
    let width = 0.01;
    let from_rows = quadratic(&Sample::from_rows(&rows).expect("rows")).log_likelihood();
    for width in [width, 1.0] {
        let cells = count(&rows, None, width);
        let got = quadratic(&Sample::from_cells(&cells).expect("cells")).log_likelihood();
        let want = from_rows + 2_000.0 * f64::ln(width);
        // A value sits anywhere in its bin: the slope of the density averages out with root n.
        assert!((got - want).abs() < 0.5 * width.max(0.05), "{got} {want}");
    }
}

/// Bins as a database would count them (a tenth of a year, 20 m): centiles within 0.3 %.
#[test]
fn smooth_fit_of_counts() {
    let rows = people(20_000, 6);
    let cells = count(&rows, Some(0.1), 20.0);
    let exact = fit(&Sample::from_rows(&rows).expect("rows"), &Model::smooth()).expect("a fit");
    let binned = fit(
        &Sample::from_cells(&cells).expect("cells"),
        &Model::smooth(),
    )
    .expect("a fit");
    assert!(binned.convergence().converged, "{:?}", binned.convergence());
    for age in [8.2, 10.0, 12.0, 14.0, 16.0, 17.8] {
        for z in [-1.88, 0.0, 1.88] {
            let want = exact.centile(age, z, SE_LIMIT).expect("a centile");
            let got = binned.centile(age, z, SE_LIMIT).expect("a centile");
            close_relative("centile", got.value, want.value, 0.003);
            close_relative("error", got.se, want.se, 0.1);
        }
    }
}

/// Open ends: everybody above a highest stage is counted as "above", and little is lost.
#[test]
fn open_bins() {
    let rows = people(5_000, 8);
    let exact = quadratic(&Sample::from_rows(&rows).expect("rows"));
    let mut cells = count(&rows, None, 20.0);
    for cell in &mut cells {
        if cell.lower >= 1_400.0 {
            (cell.lower, cell.upper) = (1_400.0, f64::INFINITY);
        }
        if cell.upper <= 400.0 {
            (cell.lower, cell.upper) = (0.0, 400.0);
        }
    }
    let open = quadratic(&Sample::from_cells(&cells).expect("cells"));
    let (a, b) = (
        exact.centile(13.0, 0.0, SE_LIMIT).expect("a median"),
        open.centile(13.0, 0.0, SE_LIMIT).expect("a median"),
    );
    assert!((a.value - b.value).abs() < a.se, "{a:?} {b:?}");
}

/// A weight of k is k equal rows.
#[test]
fn weights_are_people() {
    let rows = people(600, 12);
    let mut weighted = rows.clone();
    let mut repeated = rows.clone();
    for at in (0..600).step_by(3) {
        weighted[at].weight = 3.0;
        repeated.extend([rows[at], rows[at]]);
    }
    weighted.push(Row {
        weight: 0.0,
        ..Row::new(3.0, 1.0)
    });
    let model = Model {
        smoothing: Smoothing::Reml,
        ..Model::smooth()
    };
    let a = fit(&Sample::from_rows(&weighted).expect("rows"), &model).expect("a fit");
    let b = fit(&Sample::from_rows(&repeated).expect("rows"), &model).expect("a fit");
    assert_eq!(a.people(), 1_000.0);
    close_relative("logLik", a.log_likelihood(), b.log_likelihood(), 1e-10);
}
