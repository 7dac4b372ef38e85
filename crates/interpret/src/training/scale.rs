//! The bands themselves: how wide, where they lie, and the chance of having missed the right one.
//! Must not be narrower than the largest typical error of the people in them.

use plimsoll_measure::dist;

use super::TrainingRefusal;
use super::bands::{Apart, Doubt, Group, Runner};
use crate::{InterpretError, words};

/// Width of a band unless set, km/h. Interpretation notes, section 7.
const WIDTH: f64 = 1.0;
/// Bands begin half of this below a multiple of it, km/h: scores of most ladders come in such
/// steps, and an edge between two scores sorts fewer people by chance than one on a score.
const STEP: f64 = 0.5;
/// Most bands.
const MOST_BANDS: usize = 40;

/// Returns the value when it is finite and `holds`.
pub(super) fn within(
    what: &'static str,
    found: f64,
    holds: bool,
    allowed: &'static str,
) -> Result<f64, TrainingRefusal> {
    if found.is_finite() && holds {
        return Ok(found);
    }
    Err(TrainingRefusal::Value(InterpretError::Value {
        what,
        found,
        allowed,
    }))
}

/// Returns the width and why: as set, else 1 km/h, never under the largest typical error in the squad.
pub(super) fn width(
    people: &[Runner],
    grouped: &[usize],
    asked: Option<f64>,
) -> Result<(f64, String), TrainingRefusal> {
    let errors = grouped.iter().filter_map(|&i| people[i].error_kmh);
    let largest = errors.fold(0.0_f64, f64::max);
    let said = words::number(largest, 2);
    if let Some(found) = asked {
        let found = within(
            "width of a band (km/h)",
            found,
            found > 0.0 && found <= 20.0,
            "above 0 to 20 km/h",
        )?;
        if found < largest {
            return Err(TrainingRefusal::BandTooNarrow {
                found: words::number(found, 2),
                error: said,
            });
        }
        return Ok((found, format!("{} km/h as asked", words::number(found, 2))));
    }
    if largest > WIDTH {
        let basis = format!("{said} km/h, one typical error, which is above the usual 1 km/h");
        return Ok((largest, basis));
    }
    let basis = if largest > 0.0 {
        format!("1 km/h, not under one typical error ({said} km/h)")
    } else {
        "1 km/h; no typical error is known for these speeds, so nobody can say how often it \
         sorts by chance"
            .to_owned()
    };
    Ok((WIDTH, basis))
}

/// Bands of one width, numbered from the fastest.
pub(super) struct Bands {
    low: f64,
    width: f64,
    /// How many there are, empty ones included.
    pub count: usize,
}

impl Bands {
    /// Returns bands that hold all speeds.
    pub fn new(speeds: &[f64], width: f64, apart: &[Apart]) -> Result<Self, TrainingRefusal> {
        let Some(slowest) = speeds.iter().copied().reduce(f64::min) else {
            let first = apart
                .iter()
                .filter(|a| a.doubt == Doubt::FirstTrial)
                .count();
            let open = apart.iter().filter(|a| a.doubt == Doubt::AtLeast).count();
            let none = apart.len() - first - open;
            return Err(TrainingRefusal::Nobody {
                why: format!(
                    "{first} first trials, {open} known only as \"at least\", {none} without a \
                     speed; test them again, or group those with a speed all the same with a mark"
                ),
            });
        };
        let fastest = speeds.iter().copied().fold(slowest, f64::max);
        let low = (slowest / STEP + 1e-9).round() * STEP - STEP / 2.0;
        let count = ((fastest - low) / width + 1e-9).floor() as usize + 1;
        if count > MOST_BANDS {
            let allowed = "wide enough for at most 40 bands; check the unit of the speeds";
            let what = "width of a band (km/h)";
            return Err(TrainingRefusal::Value(InterpretError::Value {
                what,
                found: width,
                allowed,
            }));
        }
        Ok(Self { low, width, count })
    }

    /// Returns the group of a speed; 1 is the fastest.
    pub fn group_of(&self, speed: f64) -> usize {
        let band = ((speed - self.low) / self.width + 1e-9).floor().max(0.0) as usize;
        self.count - band.min(self.count - 1)
    }

    fn ends(&self, number: usize) -> (f64, f64) {
        let band = (self.count - number) as f64;
        let low = self.low + band * self.width;
        (low, low + self.width)
    }

    /// Returns every group without members.
    pub fn empty(&self) -> Vec<Group> {
        (1..=self.count)
            .map(|number| {
                let (low_kmh, high_kmh) = self.ends(number);
                Group {
                    number,
                    low_kmh,
                    high_kmh,
                    middle_kmh: f64::midpoint(low_kmh, high_kmh),
                    members: Vec::new(),
                }
            })
            .collect()
    }

    /// Beyond the outermost bands there is no other one to belong to.
    pub fn chance_other(
        &self,
        number: usize,
        person: &Runner,
    ) -> Result<Option<f64>, TrainingRefusal> {
        let Some(error) = person.error_kmh else {
            return Ok(None);
        };
        let (low, high) = self.ends(number);
        let below = |end: f64| {
            dist::normal_cdf((end - person.speed_kmh) / error).map_err(InterpretError::from)
        };
        let under = if number == self.count {
            0.0
        } else {
            below(low)?
        };
        let up_to = if number == 1 { 1.0 } else { below(high)? };
        Ok(Some((1.0 - (up_to - under)).clamp(0.0, 1.0)))
    }
}
