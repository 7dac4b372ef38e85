//! Reads what is known about a place on a ladder from the command line.

use plimsoll_ladder::{Instant, Length, Query, Speed};

use crate::cli::Known;
use crate::failure::Failure;

/// Longest time and distance that are read: a day, a thousand kilometres.
const DAY_S: f64 = 86_400.0;
const FAR_M: f64 = 1e6;
const FAST_KMH: f64 = 60.0;

/// Returns the one thing that is known.
pub fn of(known: &Known) -> Result<Query, Failure> {
    if let Some(label) = &known.label {
        return Ok(Query::Label(label.clone()));
    }
    if let Some(n) = known.bouts {
        return Ok(Query::Bouts(n));
    }
    if let Some(m) = known.distance {
        let mm = checked("--distance", m, FAR_M, "m")? * 1e3;
        return Ok(Query::Distance(Length::from_mm(mm.round() as u64)));
    }
    if let Some(v) = known.speed {
        let mm_per_h = checked("--speed", v, FAST_KMH, "km/h")? * 1e6;
        return Ok(Query::Speed(Speed::from_mm_per_h(mm_per_h.round() as u64)));
    }
    let written = known.time.as_deref().unwrap_or("");
    let seconds = checked("--time", seconds(written)?, DAY_S, "s")?;
    Ok(Query::Time(Instant::from_nanos(
        (seconds * 1e9).round() as i64
    )))
}

/// Returns the value when it is a number from zero to `most`.
fn checked(option: &str, value: f64, most: f64, unit: &str) -> Result<f64, Failure> {
    if (0.0..=most).contains(&value) {
        return Ok(value);
    }
    Err(Failure::new(format!(
        "{option} is {value}; allowed is 0 to {most} {unit}"
    ))
    .hint("check the unit"))
}

/// Returns the seconds written as `361.2` or `6:01.2`.
fn seconds(written: &str) -> Result<f64, Failure> {
    let bad = || {
        Failure::new(format!("--time is `{written}`, not a time"))
            .hint("write seconds, 361.2, or minutes and seconds, 6:01.2")
    };
    match written.split_once(':') {
        None => written.parse().map_err(|_| bad()),
        Some((minutes, rest)) => {
            let minutes: u32 = minutes.parse().map_err(|_| bad())?;
            let rest: f64 = rest.parse().map_err(|_| bad())?;
            if !(0.0..60.0).contains(&rest) {
                return Err(bad());
            }
            Ok(f64::from(minutes) * 60.0 + rest)
        }
    }
}
