//! Laws: a level does not depend on origin, unit, calendar or the order of the rows.

use plimsoll_measure::level::{
    Learning, Model, Normal, Observation, Outcome, Posterior, Series, Start, Test, posterior,
};
use proptest::prelude::*;

/// Grids of shifted or scaled problems differ by rounding; their answers by this much, relative.
const ROUNDING: f64 = 1e-7;
/// Rounding of a unit can turn a tie between two kernels of one step: both are right to this, in
/// SDs and in chances (a tenth of the aim set for the grid).
const TIE: f64 = 1e-4;

fn outcome() -> impl Strategy<Value = Outcome> {
    let y = 6.6..7.8;
    prop_oneof![
        y.clone().prop_map(Outcome::Exact),
        (y.clone(), 0.01..0.3).prop_map(|(lower, width)| Outcome::Between {
            lower,
            upper: lower + width
        }),
        y.clone().prop_map(Outcome::AtLeast),
        y.prop_map(Outcome::AtMost),
    ]
}

fn results() -> impl Strategy<Value = Vec<(f64, Outcome)>> {
    prop::collection::vec(((0_u32..40).prop_map(f64::from), outcome()), 1..8)
}

fn moved(one: Outcome, shift: f64, unit: f64) -> Outcome {
    let to = |y: f64| unit * y + shift;
    match one {
        Outcome::Exact(y) => Outcome::Exact(to(y)),
        Outcome::AtLeast(y) => Outcome::AtLeast(to(y)),
        Outcome::AtMost(y) => Outcome::AtMost(to(y)),
        Outcome::Between { lower, upper } => Outcome::Between {
            lower: to(lower),
            upper: to(upper),
        },
    }
}

/// The usual model with every level multiplied by `unit` and then moved by `shift`.
fn model(shift: f64, unit: f64) -> Model {
    let start = Start::From(Normal {
        mean: 7.2 * unit + shift,
        sd: 0.2 * unit,
    });
    let test = Test::anchor(0.07 * unit);
    Model::new(start, 0.0002 * unit * unit, vec![test], Learning::NONE).expect("a model")
}

fn rows(results: &[(f64, Outcome)]) -> Series {
    let rows = results
        .iter()
        .map(|&(week, y)| Observation::plain(week, 0, y));
    Series::new(rows.collect()).expect("a series")
}

/// Mean, SD, interval ends on each date, and the three chances from first to last.
fn answers(found: &Posterior<'_>, weeks: f64, swc: f64) -> Vec<[f64; 4]> {
    let levels = found.levels(0.9).expect("levels");
    let (first, last) = (levels[0].week, levels[levels.len() - 1].week + weeks);
    let chance = found
        .change(first, last)
        .expect("a change")
        .chance(swc)
        .expect("chances");
    let mut all: Vec<[f64; 4]> = levels
        .iter()
        .map(|l| [l.mean, l.sd, l.interval.lower, l.interval.upper])
        .collect();
    all.push([chance.up, chance.trivial, chance.down, chance.any_up]);
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn shift_and_unit_carry_over(
        results in results(), shift in -20.0..20.0, unit in 0.01..100.0
    ) {
        let (plain, changed) = (model(0.0, 1.0), model(shift, unit));
        let series = rows(&results);
        let other: Vec<_> = results.iter().map(|&(t, y)| (t, moved(y, shift, unit))).collect();
        let other = rows(&other);
        let a = posterior(&plain, &series).expect("ok");
        let b = posterior(&changed, &other).expect("ok");
        let (a, b) = (answers(&a, 2.0, 0.02), answers(&b, 2.0, 0.02 * unit));
        for (k, (a, b)) in a.iter().zip(&b).enumerate() {
            let level = k + 1 < answers_len(&results);
            for (place, (a, b)) in a.iter().zip(b).enumerate() {
                let want = match (level, place) {
                    (true, 1) => a * unit,
                    (true, _) => a * unit + shift,
                    (false, _) => *a,
                };
                let allowed = if level {
                    TIE * 0.2 * unit + ROUNDING * (unit + shift.abs())
                } else {
                    TIE
                };
                prop_assert!((b - want).abs() < allowed, "{b} for {want}");
            }
        }
    }

    #[test]
    fn calendar_and_row_order_do_not_matter(
        results in results(), later in (-3000_i32..3000).prop_map(f64::from)
    ) {
        let model = model(0.0, 1.0);
        let series = rows(&results);
        let mut other: Vec<_> = results.iter().map(|&(t, y)| (t + later, y)).collect();
        other.reverse();
        let other = rows(&other);
        let a = posterior(&model, &series).expect("ok");
        let b = posterior(&model, &other).expect("ok");
        prop_assert!((a.log_likelihood() - b.log_likelihood()).abs() < ROUNDING);
        for (a, b) in answers(&a, 1.0, 0.03).iter().zip(&answers(&b, 1.0, 0.03)) {
            for (a, b) in a.iter().zip(b) {
                prop_assert!((a - b).abs() < ROUNDING, "{a} {b}");
            }
        }
    }

    #[test]
    fn chances_are_chances_and_turn_with_the_sign(results in results(), swc in 0.0..0.1) {
        let model = model(0.0, 1.0);
        let series = rows(&results);
        let found = posterior(&model, &series).expect("ok");
        let (first, last) = (series.first_week(), 41.0);
        let there = found.change(first, last).expect("ok");
        let back = found.change(last, first).expect("ok");
        let (a, b) = (there.chance(swc).expect("ok"), back.chance(swc).expect("ok"));
        for p in [a.up, a.trivial, a.down, a.any_up] {
            prop_assert!((0.0..=1.0).contains(&p));
        }
        prop_assert!((a.up + a.trivial + a.down - 1.0).abs() < 1e-9);
        prop_assert!((a.up - b.down).abs() < 1e-6 && (a.down - b.up).abs() < 1e-6);
        prop_assert!((there.mean + back.mean).abs() < 1e-9);
        let whole = there.interval(0.9).expect("ok");
        prop_assert!(whole.contains(there.mean) && whole.half_width() > 0.0);
    }

    #[test]
    fn whole_scores_sum_to_one(results in results(), weeks in 0.0..30.0) {
        let model = model(0.0, 1.0);
        let series = rows(&results);
        let found = posterior(&model, &series).expect("ok");
        let next = found.outlook(40.0 + weeks, 0, None, Normal::ZERO).expect("ok");
        let edges: Vec<f64> = (1..=91).map(|n| (40.0 * f64::from(n)).ln()).collect();
        let chances = next.bouts(&edges).expect("ok");
        prop_assert_eq!(chances.len(), 92);
        prop_assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-9);
        let middle = next.quantile(0.5).expect("ok");
        prop_assert!((next.below(middle).expect("ok") - 0.5).abs() < 1e-9);
    }

    #[test]
    fn what_is_said_of_a_date_does_not_depend_on_being_asked(results in results()) {
        // A date asked for between two others changes neither the levels nor their number.
        let model = model(0.0, 1.0);
        let series = rows(&results);
        let found = posterior(&model, &series).expect("ok");
        let later = found.level_at(55.0, 0.9).expect("ok");
        let much = found.level_at(80.0, 0.9).expect("ok");
        let last = found.levels(0.9).expect("ok").pop().expect("a level");
        prop_assert!((later.mean - last.mean).abs() < 1e-3 * last.sd);
        let want = (last.sd.powi(2) + 0.0002 * (80.0 - last.week)).sqrt();
        prop_assert!((much.sd - want).abs() < 1e-3 * want, "{} {want}", much.sd);
    }
}

/// Rows of `answers`: one a date, one for the change.
fn answers_len(results: &[(f64, Outcome)]) -> usize {
    let mut weeks: Vec<u64> = results.iter().map(|(week, _)| week.to_bits()).collect();
    weeks.sort_unstable();
    weeks.dedup();
    weeks.len() + 1
}
