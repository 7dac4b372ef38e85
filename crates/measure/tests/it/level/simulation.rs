//! Simulated squads: intervals cover, chances are kept, bounds do not bias.

use plimsoll_measure::level::{Observation, Outcome, Series, levels, posterior};

use super::random::Random;
use super::usual;

/// Standard normal quantile of three in a thousand, for means over a simulation.
const SURE: f64 = 3.0;

/// True levels on six dates and the whole bouts seen.
fn person(random: &mut Random) -> (Vec<f64>, Vec<(f64, f64)>) {
    let weeks = [0.0, 4.0, 9.0, 16.0, 22.0, 30.0];
    let mut level = 7.2 + 0.2 * random.normal();
    let mut truth = Vec::new();
    let mut seen = Vec::new();
    for (k, &week) in weeks.iter().enumerate() {
        if k > 0 {
            level += (0.0002_f64 * (week - weeks[k - 1])).sqrt() * random.normal();
        }
        truth.push(level);
        let metres: f64 = (level + 0.07 * random.normal()).exp();
        seen.push((week, (metres / 40.0).floor().max(1.0)));
    }
    (truth, seen)
}

fn between(bouts: f64) -> Outcome {
    Outcome::Between {
        lower: (40.0 * bouts).ln(),
        upper: (40.0 * (bouts + 1.0)).ln(),
    }
}

fn rows(seen: &[(f64, f64)]) -> Series {
    let rows = seen
        .iter()
        .map(|&(week, n)| Observation::plain(week, 0, between(n)));
    Series::new(rows.collect()).expect("a series")
}

#[test]
fn intervals_cover_and_chances_hold_for_300_people() {
    let mut random = Random::new(20_240_817);
    let model = usual();
    let people: Vec<_> = (0..300).map(|_| person(&mut random)).collect();
    let squad: Vec<Series> = people.iter().map(|(_, seen)| rows(seen)).collect();
    let found = levels(&model, &squad, 0.9, 2).expect("levels");
    let (mut covered, mut all) = (0, 0);
    for (answer, (truth, _)) in found.iter().zip(&people) {
        for (level, true_level) in answer.as_ref().expect("levels").dates.iter().zip(truth) {
            covered += usize::from(level.interval.contains(*true_level));
            all += 1;
        }
    }
    let share = covered as f64 / all as f64;
    assert!(
        (0.85..=0.95).contains(&share),
        "90 % intervals cover {share}"
    );

    // Chances of a rise in three bins: as often true as said.
    let mut bins = [(0.0_f64, 0.0_f64, 0.0_f64, 0_usize); 3];
    for (series, (truth, _)) in squad.iter().zip(&people) {
        let found = posterior(&model, series).expect("a posterior");
        for (a, b) in [(0, 2), (1, 4), (3, 5)] {
            let week = |k: usize| series.observations()[k].week;
            let chance = found
                .change(week(a), week(b))
                .expect("a change")
                .chance(0.02);
            let up = chance.expect("chances").up;
            let bin = &mut bins[((up * 3.0) as usize).min(2)];
            bin.0 += up;
            bin.1 += f64::from(u8::from(truth[b] - truth[a] > 0.02));
            bin.2 += up * (1.0 - up);
            bin.3 += 1;
        }
    }
    for (said, came, variance, count) in bins {
        assert!(count > 20, "a bin holds {count} only");
        assert!(
            (said - came).abs() < SURE * variance.sqrt(),
            "said {said}, came {came} of {count}"
        );
    }
}

#[test]
fn the_next_score_is_predicted_as_often_as_said() {
    let mut random = Random::new(77);
    let model = usual();
    let edges: Vec<f64> = (1..=200).map(|n| (40.0 * f64::from(n)).ln()).collect();
    let (mut inside, mut ranks) = (0_usize, 0.0);
    let people = 300;
    for _ in 0..people {
        let (_, seen) = person(&mut random);
        let series = rows(&seen[..5]);
        let found = posterior(&model, &series).expect("a posterior");
        let next = found.outlook(30.0, 0, None, plimsoll_measure::level::Normal::ZERO);
        let next = next.expect("an outlook");
        let chances = next.bouts(&edges).expect("chances");
        let score = seen[5].1 as usize;
        // The rank of a whole score: half its own chance counts.
        let below: f64 = chances[..score].iter().sum();
        ranks += below + 0.5 * chances[score];
        let interval = next.interval(0.9).expect("an interval");
        let middle = (40.0 * (seen[5].1 + 0.5)).ln();
        inside += usize::from(interval.contains(middle));
    }
    let share = inside as f64 / f64::from(people);
    assert!(
        (0.85..=0.95).contains(&share),
        "90 % intervals hold {share}"
    );
    // Ranks are uniform: mean 1/2, SD root(1/12).
    let mean = ranks / f64::from(people);
    assert!(
        (mean - 0.5).abs() < SURE * (1.0_f64 / 12.0 / f64::from(people)).sqrt(),
        "{mean}"
    );
}

#[test]
fn bounded_results_do_not_bias_where_the_naive_mean_does() {
    // Tests that end at 1400 m for everybody: who would go on is only known to reach it.
    let mut random = Random::new(5);
    let model = usual();
    let end = 1400.0_f64.ln();
    let people = 400;
    let (mut own, mut naive, mut own_square) = (0.0, 0.0, 0.0);
    for _ in 0..people {
        let level = 7.2 + 0.2 * random.normal();
        let mut rows = Vec::new();
        let mut sum = 0.0;
        for _ in 0..3 {
            let y = level + 0.07 * random.normal();
            sum += y.min(end);
            let outcome = if y >= end {
                Outcome::AtLeast(end)
            } else {
                Outcome::Exact(y)
            };
            rows.push(Observation::plain(0.0, 0, outcome));
        }
        let series = Series::new(rows).expect("a series");
        let found = posterior(&model, &series).expect("a posterior");
        let error = found.levels(0.9).expect("levels")[0].mean - level;
        own += error;
        own_square += error * error;
        naive += sum / 3.0 - level;
    }
    let n = f64::from(people);
    let (own, naive) = (own / n, naive / n);
    let se = ((own_square / n - own * own) / n).sqrt();
    assert!(own.abs() < SURE * se, "bias {own}, standard error {se}");
    assert!(naive < -0.04, "the naive mean falls short by {naive}");
}
