//! What must not depend on unit, origin, order or the way of handing data in.

use plimsoll_measure::error::{IccForm, icc, icc_interval, mean_squares, typical_error_of_trials};
use plimsoll_measure::study::{
    Analysis, LongRow, Trials, error_by_level, pair_points, person_lines, study,
};
use proptest::prelude::*;

/// Rounding of sums over a few dozen values, relative.
const ROUNDING: f64 = 1e-8;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING * a.abs().max(b.abs()).max(1.0)
}

fn complete() -> impl Strategy<Value = (Vec<f64>, usize)> {
    (2_usize..5, 4_usize..12).prop_flat_map(|(k, n)| {
        prop::collection::vec(100.0..3000.0, k * n).prop_map(move |values| (values, k))
    })
}

/// Tables with about a quarter of the places empty; the first row is full, so trials connect.
fn with_gaps() -> impl Strategy<Value = (Vec<Option<f64>>, usize)> {
    (2_usize..5, 5_usize..14).prop_flat_map(|(k, n)| {
        prop::collection::vec((100.0..3000.0, 0.0..1.0), k * n).prop_map(move |cells| {
            let cell = |(i, (v, u)): (usize, (f64, f64))| (i < 2 * k || u > 0.25).then_some(v);
            (cells.into_iter().enumerate().map(cell).collect(), k)
        })
    })
}

fn analysed(trials: &Trials) -> Analysis {
    study(trials, 0.9).expect("a study").raw
}

fn same(a: &Analysis, b: &Analysis, unit: f64) {
    let (pa, pb) = (
        a.pooled.clone().expect("one"),
        b.pooled.clone().expect("one"),
    );
    assert!(near(pa.error.value * unit, pb.error.value));
    assert_eq!(pa.error.df, pb.error.df);
    assert!(near(pa.interval.upper * unit, pb.interval.upper));
    let (ca, cb) = (
        a.components.clone().expect("some"),
        b.components.clone().expect("some"),
    );
    assert!(near(ca.between * unit * unit, cb.between));
    assert!(near(ca.trial * unit * unit, cb.trial));
    let ia = a.correlations.clone();
    if let (Ok(ia), Ok(ib)) = (ia, b.correlations.clone()) {
        for (x, y) in ia.iter().zip(&ib) {
            assert!((x.icc.value - y.icc.value).abs() <= 1e-6 * x.icc.value.abs().max(1.0));
        }
    }
    assert_eq!(a.worthwhile.is_ok(), b.worthwhile.is_ok());
}

proptest! {
    #[test]
    fn a_complete_table_gives_the_analysis_of_variance((values, k) in complete()) {
        let rows: Vec<Vec<f64>> = values.chunks(k).map(<[f64]>::to_vec).collect();
        let squares = mean_squares(&rows).expect("squares");
        let got = analysed(&Trials::complete(&values, k).expect("trials"));
        let error = typical_error_of_trials(&rows).expect("an error");
        let pooled = got.pooled.clone().expect("one");
        prop_assert!(near(pooled.error.value, error.value) && pooled.error.df == error.df);
        prop_assert!(near(
            pooled.interval.upper, error.interval(0.9).expect("an interval").upper
        ));
        // The way through gaps and the way without must meet.
        let wide: Vec<Option<f64>> = values.iter().copied().map(Some).collect();
        same(&got, &analysed(&Trials::wide(&wide, k).expect("trials")), 1.0);
        let forms = [
            IccForm::OneWay, IccForm::Agreement, IccForm::Consistency,
            IccForm::OneWayMean, IccForm::AgreementMean, IccForm::ConsistencyMean,
        ];
        if let Ok(all) = got.correlations {
            for (one, form) in all.iter().zip(forms) {
                let want = icc(&squares, form).expect("one").value;
                prop_assert!((one.icc.value - want).abs() <= 1e-6 * want.abs().max(1.0));
            }
            let (one, want) = (all[2].interval, icc_interval(&squares, 0.9).expect("one"));
            prop_assert!(one.is_some_and(|i| near(i.lower, want.lower) && near(i.upper, want.upper)));
            prop_assert!(all[2].exact && !all[1].exact);
        }
    }

    #[test]
    fn unit_and_origin_do_not_matter(
        (cells, k) in with_gaps(), unit in 0.01..100.0, origin in -500.0..5000.0
    ) {
        let moved: Vec<Option<f64>> = cells.iter().map(|c| c.map(|v| v * unit + origin)).collect();
        let (a, b) = (Trials::wide(&cells, k), Trials::wide(&moved, k));
        same(&analysed(&a.expect("trials")), &analysed(&b.expect("trials")), unit);
    }

    #[test]
    fn order_and_marks_do_not_matter((cells, k) in with_gaps(), turn in 1_usize..50) {
        let wide = Trials::wide(&cells, k).expect("trials");
        let mut rows: Vec<LongRow> = cells
            .iter()
            .enumerate()
            .filter_map(|(i, value)| Some(LongRow {
                // Marks that neither start at 0 nor keep the order of the rows.
                person: 1000 - 7 * (i / k) as u64,
                trial: 3 + 2 * (i % k) as u32,
                value: (*value)?,
            }))
            .collect();
        let places = rows.len();
        rows.rotate_left(turn % places);
        let long = Trials::long(&rows).expect("trials");
        same(&analysed(&wide), &analysed(&long), 1.0);
        prop_assert_eq!(person_lines(&long).len(), long.people().len());
    }

    #[test]
    fn leaving_a_person_out_is_leaving_the_row_out((cells, k) in with_gaps()) {
        let trials = Trials::wide(&cells, k).expect("trials");
        let all = analysed(&trials);
        for one in all.influence.clone().expect("influence").people {
            let row = one.person as usize;
            let mut rest = cells.clone();
            rest[row * k..(row + 1) * k].fill(None);
            let Ok(rest) = Trials::wide(&rest, k) else { continue };
            // Fewer trials, or trials that fall apart, have no error of the same kind.
            let again = analysed(&rest);
            if let (Some(got), Ok(want), Ok(_)) =
                (one.error_without, again.pooled, again.components)
            {
                prop_assert!(near(got, want.error.value), "{got} {}", want.error.value);
            }
        }
    }

    #[test]
    fn turning_trials_round_turns_the_change_round((values, k) in complete()) {
        let mut back = values.clone();
        back.chunks_mut(k).for_each(<[f64]>::reverse);
        let a = analysed(&Trials::complete(&values, k).expect("trials"));
        let b = analysed(&Trials::complete(&back, k).expect("trials"));
        let (first, last) = (&a.pairs[0], &b.pairs[k - 2]);
        let (x, y) = (first.change.clone().expect("one"), last.change.clone().expect("one"));
        prop_assert!(near(x.mean, -y.mean));
        let (x, y) = (first.limits.clone().expect("some"), last.limits.clone().expect("some"));
        prop_assert!(near(x.lower, -y.upper) && near(x.upper_interval.upper, -y.lower_interval.lower));
        same(&a, &b, 1.0);
    }
}

/// Source: derived; figures hold every person once and the bands share them out.
#[test]
fn figures_hold_what_the_study_holds() {
    let cells: Vec<Option<f64>> = (0..60)
        .map(|i| (i % 7 != 3).then(|| 100.0 + f64::from(i * i % 37)))
        .collect();
    let trials = Trials::wide(&cells, 3).expect("trials");
    let points = pair_points(&trials, 0, 1).expect("points");
    let pair = &study(&trials, 0.9).expect("a study").raw.pairs[0];
    assert_eq!(points.len(), pair.n);
    let mean = points.iter().map(|p| p.difference).sum::<f64>() / points.len() as f64;
    assert!(near(mean, pair.change.clone().expect("a change").mean));
    let bands = error_by_level(&trials, 0, 1, 3, 0.9).expect("bands");
    assert_eq!(bands.iter().map(|b| b.n).sum::<usize>(), points.len());
    assert!(bands.windows(2).all(|b| b[0].to <= b[1].from));
    assert!(pair_points(&trials, 1, 1).is_err() && pair_points(&trials, 0, 3).is_err());
    assert!(error_by_level(&trials, 0, 1, 11, 0.9).is_err());
}
