//! What is left of D′ over a list of bouts: spent above CS, refilled below it.
//! Refilling is exponential towards D′ at the rate (CS - v) / D′; bouts at CS change nothing.
//! Source: differential form of the balance, Skiba 2015; from memory. Stops at the first zero.

use crate::{MeasureError, check};

/// Most bouts of one session.
const MOST_BOUTS: usize = 10_000;

/// A bout and the recovery after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bout {
    /// Speed, m/s, 0 or more.
    pub speed: f64,
    /// Duration, s, above 0.
    pub duration: f64,
    /// Speed of the recovery, m/s, 0 or more.
    pub recovery_speed: f64,
    /// Duration of the recovery, s, 0 or more.
    pub recovery: f64,
}

/// What is left after a bout and after its recovery, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// At the end of the bout.
    pub after_bout: f64,
    /// At the end of the recovery.
    pub after_recovery: f64,
}

/// Where nothing was left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Emptied {
    /// Number of the bout, from 1.
    pub bout: usize,
    /// Seconds into the bout, or into its recovery when that is run above CS.
    pub after: f64,
    /// Whether it was in the recovery.
    pub in_recovery: bool,
}

/// A session's balance.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// One entry a bout that was completed with something left.
    pub left: Vec<Left>,
    /// The lowest that was left, m; 0 when it was emptied.
    pub lowest: f64,
    /// Where nothing was left; the list ends there.
    pub emptied: Option<Emptied>,
}

/// Returns what is left of `distance` (D′, m) over bouts for a critical `speed` (m/s).
///
/// # Errors
///
/// [`MeasureError`] for values not finite or out of range, no bouts, or more than 10 000.
pub fn balance(speed: f64, distance: f64, bouts: &[Bout]) -> Result<Balance, MeasureError> {
    let speed = check::positive("critical speed (m/s)", speed)?;
    let distance = check::positive("distance above critical speed (m)", distance)?;
    checked(bouts)?;
    let mut out = Balance {
        left: Vec::with_capacity(bouts.len()),
        lowest: distance,
        emptied: None,
    };
    let mut left = distance;
    for (index, bout) in bouts.iter().enumerate() {
        let mut ends = [0.0; 2];
        let stretches = [
            (bout.speed, bout.duration),
            (bout.recovery_speed, bout.recovery),
        ];
        for (part, (v, duration)) in stretches.into_iter().enumerate() {
            let next = after(speed, distance, left, v, duration);
            if next < 0.0 {
                out.lowest = 0.0;
                out.emptied = Some(Emptied {
                    bout: index + 1,
                    after: left / (v - speed),
                    in_recovery: part == 1,
                });
                return Ok(out);
            }
            left = next;
            ends[part] = left;
            out.lowest = out.lowest.min(left);
        }
        out.left.push(Left {
            after_bout: ends[0],
            after_recovery: ends[1],
        });
    }
    Ok(out)
}

/// Returns how many of the same bout can be done, up to `most`, before more than `share` (above 0
/// to 1) of `distance` is spent at the end of one.
///
/// # Errors
///
/// As [`balance`].
pub fn bouts_until(
    speed: f64,
    distance: f64,
    bout: Bout,
    share: f64,
    most: usize,
) -> Result<usize, MeasureError> {
    let holds = share > 0.0 && share <= 1.0;
    let share = check::within("share of D′ to spend", share, holds, "above 0 to 1")?;
    let session = balance(speed, distance, &vec![bout; most])?;
    let floor = distance * (1.0 - share);
    Ok(session
        .left
        .iter()
        .take_while(|left| left.after_bout >= floor)
        .count())
}

fn checked(bouts: &[Bout]) -> Result<(), MeasureError> {
    let (what, found, needed) = ("bouts of a session", bouts.len(), 1);
    if found < needed {
        return Err(MeasureError::TooFew {
            what,
            found,
            needed,
        });
    }
    if found > MOST_BOUTS {
        return Err(MeasureError::TooMany {
            what,
            found,
            allowed: MOST_BOUTS,
        });
    }
    for bout in bouts {
        check::not_negative("speed of a bout (m/s)", bout.speed)?;
        check::positive("duration of a bout (s)", bout.duration)?;
        check::not_negative("speed of a recovery (m/s)", bout.recovery_speed)?;
        check::not_negative("duration of a recovery (s)", bout.recovery)?;
    }
    Ok(())
}

/// Below 0 when it runs out on the way.
fn after(speed: f64, distance: f64, left: f64, v: f64, duration: f64) -> f64 {
    if v > speed {
        return left - (v - speed) * duration;
    }
    distance - (distance - left) * (-(speed - v) / distance * duration).exp()
}
