//! Mixed models on any data: equal to the dense formula, and indifferent to unit and order.

use plimsoll_measure::mixed::{Column, Criterion, Data, Design, RandomTerm, Weights, intercept};
use proptest::prelude::*;

use crate::golden::close_relative;
use crate::mixed_data::{Lehmer, Slopes, fitted, slope_term};
use crate::mixed_dense::agrees_with_dense;

/// A unit or an order moves the stop of the search a little.
const STOP: f64 = 1e-5;

/// Invented rows: two factors, one with a slope; sizes of the effects by `spread`.
fn invented(start: u64, spread: f64, slopes: Slopes, weights: bool) -> Data {
    let mut random = Lehmer(start);
    let n = 60;
    let (a, b): (Vec<usize>, Vec<usize>) = (0..n)
        .map(|i| (i % 8, (i / 3 + usize::from(random.uniform() < 0.3)) % 5))
        .unzip();
    let effect: Vec<f64> = (0..26).map(|_| random.normal() * spread).collect();
    let x: Vec<f64> = (0..n).map(|_| random.normal() + 1.0).collect();
    let response = (0..n)
        .map(|i| {
            3.0 + x[i] * (1.0 + 0.5 * effect[8 + a[i]])
                + effect[a[i]]
                + effect[16 + b[i]]
                + random.normal()
        })
        .collect();
    let x = Column::new("x", x);
    let w = (0..n).map(|_| 0.5 + random.uniform()).collect();
    Data {
        response,
        design: Design {
            fixed: vec![intercept(n), x.clone()],
            random: vec![slope_term("a", a, x, slopes), RandomTerm::intercept("b", b)],
        },
        weights: if weights {
            Weights::Prior(w)
        } else {
            Weights::Equal
        },
    }
}

fn slopes() -> impl Strategy<Value = Slopes> {
    prop_oneof![
        Just(Slopes::None),
        Just(Slopes::Correlated),
        Just(Slopes::Uncorrelated)
    ]
}

fn criterion() -> impl Strategy<Value = Criterion> {
    prop_oneof![Just(Criterion::Reml), Just(Criterion::Ml)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_dense_formula_agrees(
        start in 1_u64..2_000_000_000, spread in 0.0..2.0, slopes in slopes(),
        weights in any::<bool>(), criterion in criterion()
    ) {
        let data = invented(start, spread, slopes, weights);
        agrees_with_dense(&data, &fitted(&data, criterion));
    }

    #[test]
    fn shift_and_unit_do_not_matter(
        start in 1_u64..2_000_000_000, unit in 0.001_f64..1000.0, shift in -1e4..1e4_f64,
        unit_x in 0.001_f64..1000.0, slopes in slopes()
    ) {
        let data = invented(start, 1.0, slopes, false);
        let mut other = data.clone();
        other.response.iter_mut().for_each(|y| *y = unit * (*y + shift));
        other.design.fixed[1].values.iter_mut().for_each(|x| *x *= unit_x);
        if slopes != Slopes::None {
            other.design.random[0].columns[1].values.iter_mut().for_each(|x| *x *= unit_x);
        }
        let (a, b) = (fitted(&data, Criterion::Reml), fitted(&other, Criterion::Reml));
        close_relative("sigma", b.sigma.expect("ok"), unit * a.sigma.expect("ok"), STOP);
        for (k, scale) in [(0_usize, unit), (1, unit / unit_x)] {
            let shifted = a.fixed[k].estimate + if k == 0 { shift } else { 0.0 };
            let off: f64 = (b.fixed[k].estimate - scale * shifted).abs();
            prop_assert!(off < STOP * b.fixed[k].se, "{off}");
            close_relative("se", b.fixed[k].se, scale * a.fixed[k].se, STOP);
        }
        let gain = 58.0 * 2.0 * unit.ln() + 2.0 * unit_x.ln();
        prop_assert!((b.deviance - a.deviance - gain).abs() < 1e-6);
    }

    #[test]
    fn order_and_labels_do_not_matter(start in 1_u64..2_000_000_000, slopes in slopes()) {
        let data = invented(start, 1.0, slopes, true);
        let n = data.response.len();
        let mut random = Lehmer(start);
        let mut keys: Vec<(u64, usize)> =
            (0..n).map(|i| { random.uniform(); (random.0, i) }).collect();
        keys.sort_unstable();
        let order: Vec<usize> = keys.into_iter().map(|(_, i)| i).collect();
        let pick = |v: &[f64]| order.iter().map(|&i| v[i]).collect::<Vec<f64>>();
        let mut other = data.clone();
        other.response = pick(&data.response);
        if let Weights::Prior(w) = &data.weights {
            other.weights = Weights::Prior(pick(w));
        }
        let columns = other.design.random.iter_mut().flat_map(|t| &mut t.columns);
        for column in other.design.fixed.iter_mut().chain(columns) {
            column.values = pick(&column.values);
        }
        for (term, old) in other.design.random.iter_mut().zip(&data.design.random) {
            term.groups = order.iter().map(|&i| 1000 - 3 * old.groups[i]).collect();
        }
        let (a, b) = (fitted(&data, Criterion::Reml), fitted(&other, Criterion::Reml));
        prop_assert!((a.deviance - b.deviance).abs() < 1e-7);
        for (a, b) in a.terms.iter().zip(&b.terms) {
            for (a, b) in a.effects.iter().zip(b.effects.iter().rev()) {
                for (a, b) in a.iter().zip(b) {
                    prop_assert!((a - b).abs() < 1e-4, "{a} {b}");
                }
            }
        }
    }
}
