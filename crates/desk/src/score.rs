//! What an outcome comes to on its ladder: label, distance, time and speeds.
//! Derived every time, never stored. Unknown places give nothing, not a guess.

use plimsoll_judge::Amount;
use plimsoll_ladder::{Instant, Ladder, Shape, Test};

/// What an amount comes to on the ladder of its test.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Score {
    /// Label of the last completed bout; none before the first.
    pub label: Option<String>,
    /// Completed bouts.
    pub bouts: Option<u32>,
    /// Distance run, m, recoveries left out.
    pub distance_m: Option<f64>,
    /// Time from the first start to the last finish, or the time taken, s.
    pub time_s: Option<f64>,
    /// Speed of the last completed bout, km/h.
    pub final_speed_kmh: Option<f64>,
    /// Distance over running time, recoveries left out, km/h.
    pub average_speed_kmh: Option<f64>,
    /// Number of the last completed stage, where stages are numbered.
    pub stage: Option<f64>,
    /// Level being run plus the share of it that was run: 9.36 is 4 of 11 shuttles of level 9.
    pub level_decimal: Option<f64>,
    /// Legs run, for shuttle courses.
    pub shuttles: Option<u32>,
}

/// Returns what an amount comes to, or nothing when it is beyond the end of the ladder or not in
/// the unit in which the test counts.
pub fn score(test: &Test, amount: Amount) -> Option<Score> {
    match (amount, test.shape()) {
        (Amount::Bouts(n), _) => on_ladder(test, n),
        (Amount::DistanceMm(mm), Shape::DistanceInTime) => {
            let metres = f64::from(mm) / 1e3;
            let seconds = test.duration().map(|d| d.as_secs_f64());
            Some(Score {
                distance_m: Some(metres),
                time_s: seconds,
                average_speed_kmh: seconds.map(|s| metres / s * 3.6),
                ..Score::default()
            })
        }
        (Amount::TimeMs(ms), Shape::TimeForDistance) => {
            let seconds = f64::from(ms) / 1e3;
            // More than one distance under one id: which one was run is not in the amount.
            let one = test
                .definition()
                .course
                .distances
                .as_ref()
                .filter(|d| d.value.len() == 1);
            let metres = one.and_then(|_| test.max_distance()).map(|d| d.as_m_f64());
            Some(Score {
                distance_m: metres,
                time_s: Some(seconds),
                average_speed_kmh: metres.filter(|_| ms > 0).map(|m| m / seconds * 3.6),
                ..Score::default()
            })
        }
        _ => None,
    }
}

fn on_ladder(test: &Test, n: u32) -> Option<Score> {
    let ladder = test.ladder()?;
    if n == 0 {
        return Some(Score {
            bouts: Some(0),
            distance_m: Some(0.0),
            time_s: Some(0.0),
            ..Score::default()
        });
    }
    let bout = ladder.by_number(n)?;
    let metres = bout.distance.as_m_f64();
    let running: f64 = ladder
        .bouts()
        .iter()
        .take(n as usize)
        .map(|b| b.finish.since(b.start).as_secs_f64())
        .sum();
    let (stage, level_decimal) = stages(ladder, n);
    Some(Score {
        label: Some(bout.label.clone()),
        bouts: Some(n),
        distance_m: Some(metres),
        time_s: Some(bout.finish.since(Instant::START).as_secs_f64()),
        final_speed_kmh: Some(bout.speed.as_kmh_f64()),
        average_speed_kmh: (running > 0.0).then(|| metres / running * 3.6),
        stage,
        level_decimal,
        shuttles: legs(test, n),
    })
}

/// Returns the number of the last stage run to its end, and with the share of the next one.
///
/// Bouts before the first stage has ended count as stage zero. Common practice, no source.
fn stages(ladder: &Ladder, n: u32) -> (Option<f64>, Option<f64>) {
    let number = |label: &str| label.parse::<f64>().ok();
    let done = ladder.stages().iter().rfind(|s| s.last_bout <= n);
    let completed = done.map_or(Some(0.0), |s| number(&s.label));
    let before = done.map_or(0, |s| s.last_bout);
    let next = ladder.stages().iter().find(|s| s.last_bout > n);
    let level = match next {
        Some(s) => {
            let share = f64::from(n - before) / f64::from(s.last_bout - before);
            number(&s.label).map(|label| label + share)
        }
        None => completed.map(|c| c + 1.0),
    };
    (completed, level)
}

/// Returns the legs run: one per bout in a continuous test, several where bouts have legs.
fn legs(test: &Test, n: u32) -> Option<u32> {
    match test.shape() {
        Shape::Continuous => Some(n),
        Shape::Bouts => test
            .definition()
            .pace
            .legs
            .as_ref()
            .map(|l| l.value.saturating_mul(n)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use plimsoll_ladder::Catalogue;

    fn of(id: &str, amount: Amount) -> Option<Score> {
        score(Catalogue::built_in().get(id).expect("known"), amount)
    }

    #[test]
    fn fourteen_bouts_of_level_one() {
        let s = of("ir1", Amount::Bouts(14)).expect("on the ladder");
        assert_eq!(s.label.as_deref(), Some("14.3"));
        assert_eq!(
            (s.distance_m, s.final_speed_kmh, s.shuttles),
            (Some(560.0), Some(14.5), Some(28))
        );
        assert_eq!(s.stage, Some(13.0));
        assert_eq!(s.level_decimal, Some(14.0 + 3.0 / 8.0));
        // 14 bouts and 13 rests of 10 s: the average speed leaves the rests out.
        let running = s.time_s.expect("time") - 130.0;
        assert!((s.average_speed_kmh.expect("speed") - 560.0 / running * 3.6).abs() < 1e-6);
    }

    #[test]
    fn nothing_run_is_zero_and_beyond_the_end_is_nothing() {
        assert_eq!(
            of("ir1", Amount::Bouts(0)).expect("zero").distance_m,
            Some(0.0)
        );
        assert_eq!(of("ir1", Amount::Bouts(92)), None);
        assert_eq!(of("ir1", Amount::TimeMs(5)), None);
    }

    #[test]
    fn stage_of_the_multistage_test() {
        // 105 shuttles in exact minutes: stage 11 ends after 100.83, so 11 is done.
        let s = of("msr20", Amount::Bouts(105)).expect("on the ladder");
        assert_eq!(s.stage, Some(11.0));
        assert!((12.0..13.0).contains(&s.level_decimal.expect("level")));
        // 83 shuttles of the whole-shuttle form are 9.11: level 9 is complete.
        let s = of("msr20_whole", Amount::Bouts(83)).expect("on the ladder");
        assert_eq!((s.stage, s.level_decimal), (Some(9.0), Some(10.0)));
    }

    #[test]
    fn runs_for_distance_and_for_time() {
        let s = of("run12", Amount::DistanceMm(2_800_000)).expect("run");
        assert!((s.average_speed_kmh.expect("speed") - 14.0).abs() < 1e-9);
        let s = of("shuttle1200", Amount::TimeMs(300_000)).expect("run");
        assert!((s.average_speed_kmh.expect("speed") - 14.4).abs() < 1e-9);
        assert_eq!(
            of("run_distance", Amount::TimeMs(600_000))
                .expect("run")
                .distance_m,
            None
        );
    }
}
