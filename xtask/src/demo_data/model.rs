//! What each player ran on each day, from a fixed seed: who came, how far, why it ended.
//! True level walks upward on the log scale; a test adds error; a first test falls a little short.
//! Sizes carry their source; those without one are chosen.

use jiff::civil::Date;
use plimsoll_judge::StopReason;
use plimsoll_ladder::{Bout, Catalogue, Ladder, Length};
use rand::seq::SliceRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use super::club::{PLAYERS, Player};
use super::days::{DAYS, Day, TODAY};
use super::warts::{Kind, planted};

/// The seed; change it and every sheet changes. Of many this one was taken because no sheet has a fault by
/// accident (four equal results in a row, a result far from its past) and the warts have round figures.
const SEED: u64 = 20_263_797;
/// Error of one test, standard deviation of logarithms. Youth on level 1: 7.3 % (Fanchini 2014, source
/// read), 3.0 to 7.5 % (Deprez 2014, source read). Level 2: 9 to 10 % (`references/`, defaults).
const ERROR: f64 = 0.065;
const ERROR_LEVEL_2: f64 = 0.095;
/// Growth of the logarithm in a year at 15 and at 17. Derived from the means of U15, U17 and U19 boys
/// (Deprez 2014, source read): ln(2404/2024)/2 and ln(2547/2404)/2.
const GROWTH: [(f64, f64); 2] = [(15.0, 0.086), (17.0, 0.029)];
/// Share of it for girls and women. No source; chosen.
const GROWTH_GIRLS: f64 = 0.5;
/// Spread of a year's true change beside growth: training, holidays, injuries. Chosen.
const WALK: f64 = 0.05;
/// A first test falls short of what the runner could do. Chosen; studies found learning, not its size.
const FIRST_TEST: f64 = 0.96;
/// Fewest and most players on a day, and how many come today.
const ATTENDANCE: (usize, usize) = (20, 25);
const TODAY_COME: usize = 24;
/// A level 2 run beside a level 1 run of the same runner. Chosen.
const LEVEL_2_SHARE: f64 = 0.36;
/// Level 2 runs stay between these, metres.
const LEVEL_2_RANGE: (f64, f64) = (280.0, 700.0);
/// How far a run gets that ends for another cause than fatigue. Chosen.
const CUT_SHORT: f64 = 0.55;

/// What a form says beside a result.
#[derive(Debug, Clone)]
pub struct Arrival {
    pub sleep_h: f64,
    pub meal_h: f64,
    pub caffeine: bool,
    pub note: &'static str,
}

/// One runner's result on a day.
#[derive(Debug, Clone)]
pub struct Line {
    pub player: &'static Player,
    pub number: usize,
    pub bout: Bout,
    /// Whole seconds from the first start to the stop.
    pub stopped_s: i64,
    pub reason: StopReason,
    pub arrival: Arrival,
}

/// Returns every day's results, players in roster order.
pub fn results(catalogue: &Catalogue) -> Vec<Vec<Line>> {
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    let mut levels: Vec<f64> = PLAYERS.iter().map(|p| p.metres.ln()).collect();
    let mut tests = [0_u32; PLAYERS.len()];
    let mut before: Option<Date> = None;
    let mut days = Vec::new();
    for (n, day) in DAYS.iter().enumerate() {
        let gap = before.map_or(0.0, |b| years(b, day.on));
        before = Some(day.on);
        for (level, player) in levels.iter_mut().zip(&PLAYERS) {
            let grown = growth(player, day.on) * gap;
            *level += grown + WALK * gap.sqrt() * normal(&mut rng);
        }
        let ladder = super::ladder(catalogue, day);
        let come = attendance(&mut rng, n, day);
        let mut lines = Vec::new();
        for (number, player) in PLAYERS.iter().enumerate() {
            let error = normal(&mut rng);
            let mut line = run(&mut rng, ladder, day, (number, player), |share| {
                let first = if tests[number] == 0 { FIRST_TEST } else { 1.0 };
                metres(day, levels[number], error) * first * share
            });
            if !come.contains(&number) {
                continue;
            }
            if tests[number] == 0 && n > 0 {
                line.arrival.note = "first time";
            }
            tests[number] += 1;
            lines.push(line);
        }
        days.push(lines);
    }
    days
}

/// Returns how far a runner of a level goes on a day.
fn metres(day: &Day, level: f64, error: f64) -> f64 {
    if day.played == "ir1" {
        return (level + ERROR * error).exp() * day.effect;
    }
    let metres = (level + ERROR_LEVEL_2 * error).exp() * day.effect * LEVEL_2_SHARE;
    metres.clamp(LEVEL_2_RANGE.0, LEVEL_2_RANGE.1)
}

/// Returns one run; `far` gives the metres for a share of the whole run.
fn run(
    rng: &mut ChaCha8Rng,
    ladder: &Ladder,
    day: &Day,
    who: (usize, &'static Player),
    far: impl Fn(f64) -> f64,
) -> Line {
    let missed = rng.random::<f64>() < 0.7;
    let mut arrival = arrive(rng);
    let (share, reason) = match planted(day.on, who.1.name) {
        Some(Kind::Stop(reason, note)) => {
            arrival.note = note;
            (CUT_SHORT, reason)
        }
        _ if missed => (1.0, StopReason::Misses),
        _ => (1.0, StopReason::Exhaustion),
    };
    let bout = completed(ladder, far(share));
    let into_next = 0.3 + 0.6 * rng.random::<f64>();
    Line {
        player: who.1,
        number: who.0 + 1,
        stopped_s: stopped(ladder, &bout, into_next),
        bout,
        reason,
        arrival,
    }
}

/// Returns the last bout finished within a distance, the second at the least.
fn completed(ladder: &Ladder, metres: f64) -> Bout {
    let bout = ladder.within_distance(Length::from_mm((metres * 1000.0) as u64));
    let bout = bout.filter(|b| b.number > 1).or(ladder.by_number(2));
    bout.cloned().expect("a ladder has two bouts")
}

/// Returns the whole second at which somebody stops who completed a bout and not the next.
fn stopped(ladder: &Ladder, bout: &Bout, into_next: f64) -> i64 {
    let from = bout.finish.as_secs_f64();
    let to = ladder
        .by_number(bout.number + 1)
        .map_or(from, |b| b.finish.as_secs_f64());
    (from + (to - from) * into_next) as i64
}

/// Returns what a runner says on arrival.
fn arrive(rng: &mut ChaCha8Rng) -> Arrival {
    const NOTES: [&str; 4] = [
        "strong finish",
        "late, short warm-up",
        "good turns",
        "paced well",
    ];
    let halves = |value: f64| (value * 2.0).round() / 2.0;
    let sleep_h = halves(7.6 + 0.9 * normal(rng)).clamp(5.0, 10.0);
    let meal_h = halves(2.8 + 0.7 * normal(rng)).clamp(1.0, 6.0);
    let caffeine = rng.random::<f64>() < 0.2;
    let said = rng.random::<f64>() < 0.1;
    let which = rng.random_range(0..NOTES.len());
    Arrival {
        sleep_h,
        meal_h,
        caffeine,
        note: if said { NOTES[which] } else { "" },
    }
}

/// Returns who comes on a day, as indices. Whoever has a part in a wart comes, and newcomers.
fn attendance(rng: &mut ChaCha8Rng, n: usize, day: &Day) -> Vec<usize> {
    let mut members: Vec<usize> = (0..PLAYERS.len())
        .filter(|i| PLAYERS[*i].first_day <= n)
        .collect();
    let drawn = rng.random_range(ATTENDANCE.0..=ATTENDANCE.1.min(members.len()));
    let come = if day.on == TODAY { TODAY_COME } else { drawn };
    members.shuffle(rng);
    members.sort_by_key(|i| match planted(day.on, PLAYERS[*i].name) {
        Some(Kind::ZeroForAbsent) => 2,
        Some(_) => 0,
        None if PLAYERS[*i].first_day == n && n > 0 => 0,
        None => 1,
    });
    members.truncate(come);
    members.retain(|i| planted(day.on, PLAYERS[*i].name) != Some(Kind::ZeroForAbsent));
    members
}

/// Returns the growth of the logarithm in a year, level after the later age.
fn growth(player: &Player, on: Date) -> f64 {
    let [(young, fast), (old, slow)] = GROWTH;
    let share = ((years(player.born, on) - young) / (old - young)).clamp(0.0, 1.0);
    let boys = fast + (slow - fast) * share;
    boys * if player.sex == "F" { GROWTH_GIRLS } else { 1.0 }
}

/// Returns the years from one date to another.
pub fn years(from: Date, to: Date) -> f64 {
    to.duration_since(from).as_hours() as f64 / 24.0 / 365.25
}

/// Returns a standard normal number: the sum of twelve uniforms, exact enough for a demo.
fn normal(rng: &mut ChaCha8Rng) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}
