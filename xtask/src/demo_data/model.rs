//! What each player would have run on each day, from a fixed seed.
//! True level walks upward on the log scale; a test adds error, a first test a little less.

use plimsoll_ladder::{Bout, Catalogue, Ladder};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::club::{DAYS, PLAYERS, Wart};

/// The seed; change it and every sheet changes.
const SEED: u64 = 20_261_121;
/// Coefficient of variation of one test on level 1, within the published 3.0 to 7.5 % for youth.
const ERROR: f64 = 0.055;
/// Spread of a quarter's true change, and its mean.
const WALK: f64 = 0.035;
const DRIFT: f64 = 0.012;
/// A first test falls short of what the runner could do.
const FIRST_TEST: f64 = 0.96;
/// Share of players who come on a day.
const ATTENDANCE: f64 = 0.9;
/// A level 2 run goes about this far beside a level 1 run of the same runner.
const LEVEL_2_SHARE: f64 = 0.36;

/// One runner's result on a day.
#[derive(Clone)]
pub struct Line {
    pub player: usize,
    pub bout: Bout,
    pub reason: &'static str,
    pub note: &'static str,
    pub sleep_h: f64,
    pub bib: u32,
}

/// Returns every day's results, players in roster order.
pub fn results(catalogue: &Catalogue) -> Vec<Vec<Line>> {
    let ladder = |id: &str| {
        catalogue
            .get(id)
            .and_then(|t| t.ladder())
            .expect("a built-in ladder")
    };
    let (level_1, level_2) = (ladder("ir1"), ladder("ir2"));
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    let mut levels: Vec<f64> = PLAYERS.iter().map(|p| p.metres.ln()).collect();
    DAYS.iter()
        .enumerate()
        .map(|(n, day)| {
            let mut lines = Vec::new();
            for (i, player) in PLAYERS.iter().enumerate() {
                levels[i] += DRIFT + WALK * normal(&mut rng);
                let error = ERROR * normal(&mut rng);
                let here = rng.random::<f64>() < ATTENDANCE || day.wart == Wart::Today;
                let sleep_h = (15.0 + (normal(&mut rng) * 1.4).round()) / 2.0;
                let misses = rng.random::<f64>() < 0.7;
                if player.first_day > n || (!here && player.first_day != n) {
                    continue;
                }
                let first = if player.first_day == n {
                    FIRST_TEST
                } else {
                    1.0
                };
                let metres = (levels[i] + error).exp() * day.effect * first;
                let (ladder, metres) = match day.wart {
                    Wart::OtherLadder => (level_2, metres * LEVEL_2_SHARE),
                    _ => (level_1, metres),
                };
                lines.push(Line {
                    player: i,
                    bout: completed(ladder, metres),
                    reason: if misses { "misses" } else { "exhaustion" },
                    note: "",
                    sleep_h: sleep_h.clamp(5.0, 10.0),
                    bib: u32::try_from(i).unwrap_or(0) + 1,
                });
            }
            lines
        })
        .collect()
}

/// Returns the last bout finished within a distance, the second at the least.
fn completed(ladder: &Ladder, metres: f64) -> Bout {
    let mm = plimsoll_ladder::Length::from_mm((metres * 1000.0) as u64);
    let bout = ladder.within_distance(mm).or_else(|| ladder.by_number(2));
    bout.cloned().expect("a ladder has two bouts")
}

/// Returns a standard normal number (sum of twelve uniforms, exact enough for a demo).
fn normal(rng: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}
