//! Helpers around critical speed, speed reserve, heart rate and layouts.
//! Straight formulas on numbers; the papers and their tags are in `references/equations`.

use plimsoll_measure::fit;
use serde::Serialize;

use crate::InterpretError;

fn above_zero(what: &'static str, found: f64) -> Result<f64, InterpretError> {
    within(what, found, found > 0.0, "a number above 0")
}

fn within(
    what: &'static str,
    found: f64,
    holds: bool,
    allowed: &'static str,
) -> Result<f64, InterpretError> {
    if found.is_finite() && holds {
        Ok(found)
    } else {
        Err(InterpretError::Value {
            what,
            found,
            allowed,
        })
    }
}

/// Critical speed and the distance above it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CriticalSpeed {
    /// Critical speed, m/s.
    pub speed_m_s: f64,
    /// Distance capacity above it, m. Far less repeatable than the speed.
    pub distance_m: f64,
    /// Standard error of the speed, m/s; none with two runs.
    pub speed_se: Option<f64>,
    /// Standard error of the distance, m; none with two runs.
    pub distance_se: Option<f64>,
    /// Number of runs.
    pub runs: usize,
}

fn runs(runs: &[(f64, f64)]) -> Result<(Vec<f64>, Vec<f64>), InterpretError> {
    runs.iter()
        .map(|&(d, t)| Ok((above_zero("distance (m)", d)?, above_zero("time (s)", t)?)))
        .collect::<Result<Vec<_>, InterpretError>>()
        .map(|pairs| pairs.into_iter().unzip())
}

/// Returns critical speed from (distance m, time s) of 2 or more maximal runs, by least squares
/// of distance on time. Two runs give no error: run a third.
pub fn critical_speed(trials: &[(f64, f64)]) -> Result<CriticalSpeed, InterpretError> {
    let (distances, times) = runs(trials)?;
    let line = fit::line(&times, &distances)?;
    Ok(CriticalSpeed {
        speed_m_s: line.slope,
        distance_m: line.intercept,
        speed_se: line.slope_se,
        distance_se: line.intercept_se,
        runs: trials.len(),
    })
}

/// Returns critical speed by least squares of speed on 1 / time.
pub fn critical_speed_inverse_time(trials: &[(f64, f64)]) -> Result<CriticalSpeed, InterpretError> {
    let (distances, times) = runs(trials)?;
    let inverse: Vec<f64> = times.iter().map(|t| 1.0 / t).collect();
    let speeds: Vec<f64> = distances.iter().zip(&times).map(|(d, t)| d / t).collect();
    let line = fit::line(&inverse, &speeds)?;
    Ok(CriticalSpeed {
        speed_m_s: line.intercept,
        distance_m: line.slope,
        speed_se: line.intercept_se,
        distance_se: line.slope_se,
        runs: trials.len(),
    })
}

/// Returns critical speed from a 3-min all-out run: mean speed of the last 30 s and of the first
/// 150 s, m/s.
pub fn critical_speed_3min(
    last_30_s: f64,
    first_150_s: f64,
) -> Result<CriticalSpeed, InterpretError> {
    let speed = above_zero("mean speed of the last 30 s (m/s)", last_30_s)?;
    let first = within(
        "mean speed of the first 150 s (m/s)",
        first_150_s,
        first_150_s >= speed,
        "a speed not below that of the last 30 s",
    )?;
    Ok(CriticalSpeed {
        speed_m_s: speed,
        distance_m: 150.0 * (first - speed),
        speed_se: None,
        distance_se: None,
        runs: 1,
    })
}

/// Returns the time to exhaustion at a speed (m/s) above critical speed, s; holds for about 2 to
/// 15 min.
pub fn time_above_critical_speed(
    critical: &CriticalSpeed,
    speed_m_s: f64,
) -> Result<f64, InterpretError> {
    let allowed = "a speed above the critical speed";
    let speed = within(
        "speed (m/s)",
        speed_m_s,
        speed_m_s > critical.speed_m_s,
        allowed,
    )?;
    above_zero("distance above critical speed (m)", critical.distance_m)?;
    Ok(critical.distance_m / (speed - critical.speed_m_s))
}

/// The span between maximal aerobic and maximal sprint speed, m/s.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpeedReserve {
    /// Maximal aerobic speed, m/s. Say which test gave it.
    pub aerobic_m_s: f64,
    /// Maximal sprint speed, m/s.
    pub sprint_m_s: f64,
}

impl SpeedReserve {
    /// Makes a reserve from two speeds, the sprint faster.
    pub fn new(aerobic_m_s: f64, sprint_m_s: f64) -> Result<Self, InterpretError> {
        let aerobic = above_zero("maximal aerobic speed (m/s)", aerobic_m_s)?;
        let allowed = "a speed above the maximal aerobic speed";
        let sprint = within(
            "maximal sprint speed (m/s)",
            sprint_m_s,
            sprint_m_s > aerobic,
            allowed,
        )?;
        Ok(Self {
            aerobic_m_s: aerobic,
            sprint_m_s: sprint,
        })
    }

    /// Returns the reserve, m/s.
    pub fn reserve_m_s(&self) -> f64 {
        self.sprint_m_s - self.aerobic_m_s
    }

    /// Returns the share of the reserve used at a speed (m/s), below 0 under aerobic speed.
    pub fn share_at(&self, speed_m_s: f64) -> f64 {
        (speed_m_s - self.aerobic_m_s) / self.reserve_m_s()
    }

    /// Returns the speed at a share of the reserve, m/s.
    pub fn speed_at(&self, share: f64) -> f64 {
        self.aerobic_m_s + share * self.reserve_m_s()
    }
}

/// Rate at which all-out speed falls, 1/s. Source: Bundle 2003, from memory.
const ALL_OUT_RATE: f64 = 0.013;

/// Returns the mean speed of an all-out run of `seconds` (3 to 240), m/s.
pub fn all_out_speed(reserve: &SpeedReserve, seconds: f64) -> Result<f64, InterpretError> {
    let holds = (3.0..=240.0).contains(&seconds);
    let seconds = within("length of the run (s)", seconds, holds, "3 to 240 s")?;
    Ok(reserve.speed_at((-ALL_OUT_RATE * seconds).exp()))
}

/// Returns the heart rate at a share (0 to 1) of the reserve between rest and maximum, bpm.
pub fn heart_rate_at(rest: f64, maximum: f64, share: f64) -> Result<f64, InterpretError> {
    let rest = above_zero("resting heart rate (bpm)", rest)?;
    let allowed = "a rate above the resting one";
    let maximum = within("maximal heart rate (bpm)", maximum, maximum > rest, allowed)?;
    let holds = (0.0..=1.0).contains(&share);
    let share = within("share of the reserve", share, holds, "0 to 1")?;
    Ok(rest + share * (maximum - rest))
}

/// Forms of the 30-15 test and its relatives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Layout {
    /// Continuous 40 m shuttle run, no rests: 93.2 % of the final speed, SD 1.4.
    Continuous,
    /// The same test in a straight line: 103.1 %, SD 1.7.
    StraightLine,
    /// The same test on 28 m: 99.7 %, SD 3.6.
    Shuttle28,
}

/// Returns the group-mean final speed in another layout for a final speed on 40 m, km/h.
/// Source: Haydar 2011, abstract read; group ratios, individuals differ.
pub fn layout_speed(final_speed_kmh: f64, layout: Layout) -> Result<f64, InterpretError> {
    let speed = above_zero("final speed (km/h)", final_speed_kmh)?;
    Ok(speed
        * match layout {
            Layout::Continuous => 0.932,
            Layout::StraightLine => 1.031,
            Layout::Shuttle28 => 0.997,
        })
}

/// A work interval over a lane with turns.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ShuttleWork {
    /// Distance in a straight line, m.
    pub straight_m: f64,
    /// Distance over the lane, m.
    pub shuttle_m: f64,
    /// Number of 180-degree turns.
    pub turns: u32,
}

/// Returns the distance for `time_s` at `speed_m_s` over lanes of `lane_m`, when each turn costs
/// `turn_loss_s` (convention 0.7 s, from memory). Where turns alternate, the smaller distance.
pub fn shuttle_work(
    speed_m_s: f64,
    time_s: f64,
    lane_m: f64,
    turn_loss_s: f64,
) -> Result<ShuttleWork, InterpretError> {
    let speed = above_zero("speed (m/s)", speed_m_s)?;
    let time = above_zero("time (s)", time_s)?;
    let lane = within(
        "lane (m)",
        lane_m,
        lane_m >= 10.0,
        "10 m or more: the model fails below",
    )?;
    let loss = within(
        "time lost in a turn (s)",
        turn_loss_s,
        turn_loss_s >= 0.0,
        "0 or more",
    )?;
    let straight = speed * time;
    let turns_for = |distance: f64| ((distance / lane).ceil() - 1.0).max(0.0);
    let over = |turns: f64| (speed * (time - loss * turns)).max(0.0);
    let mut turns = turns_for(straight);
    for _ in 0..100 {
        let next = turns_for(over(turns));
        if next == turns {
            break;
        }
        // Two counts that swap for ever: the larger one gives the smaller distance.
        if turns_for(over(next)) == turns {
            turns = turns.max(next);
            break;
        }
        turns = next;
    }
    within(
        "number of turns",
        turns,
        turns <= 1e6,
        "at most a million: check the unit",
    )?;
    Ok(ShuttleWork {
        straight_m: straight,
        shuttle_m: over(turns),
        turns: turns as u32,
    })
}
