//! Where the sun stands. The algorithm is that of Reda and Andreas (2004), Solar Energy 76:577-589, in the
//! crate solar-positioning; here are only ranges and the distance of the sun.

use solar_positioning::time::JulianDate;
use solar_positioning::{Location, SolarPositions};

use crate::fault::{PitchFault, Range};

/// TT − UTC, s, in 2026; a second moves the sun by 0.004°.
const DELTA_T: f64 = 69.2;
/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;
/// Julian date of 1970-01-01.
const EPOCH: f64 = 2_440_587.5;

/// Where the sun stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sun {
    /// Degrees from north, clockwise.
    pub azimuth_deg: f64,
    /// Degrees above the horizon.
    pub elevation_deg: f64,
    /// Cosine of the zenith angle.
    pub cos_zenith: f64,
    /// Distance, astronomical units.
    pub distance_au: f64,
}

/// Returns where the sun stands at a place and an instant, milliseconds since 1970-01-01 UTC.
///
/// # Errors
///
/// [`PitchFault::Value`] for a place or an instant that is none.
pub fn sun(latitude: f64, longitude: f64, at_ms: i64) -> Result<Sun, PitchFault> {
    let degrees = |what, high: f64| Range {
        what,
        unit: "degrees",
        low: -high,
        high,
    };
    let location = Location {
        latitude: degrees("the latitude", 90.0).check(latitude)?,
        longitude: degrees("the longitude", 180.0).check(longitude)?,
    };
    let years = Range {
        what: "the instant",
        unit: "milliseconds since 1970, the years 1970 to 2100",
        low: 0.0,
        high: 4_102_444_800_000.0,
    };
    let julian = years.check(at_ms as f64)? / DAY_MS + EPOCH;
    let unusable = || PitchFault::NoBalance {
        which: "sun's place",
        low: 0.0,
        high: 0.0,
    };
    let time = JulianDate::new(julian, DELTA_T).map_err(|_| unusable())?;
    let position = SolarPositions::new()
        .at_from_julian(time, location, 0.0, None)
        .map_err(|_| unusable())?;
    let elevation = position.elevation_angle();
    // Source: Astronomical Almanac, low precision (from memory): good to 0.0001.
    let days = julian - 2_451_545.0;
    let anomaly = (357.528 + 0.985_600_3 * days).to_radians();
    Ok(Sun {
        azimuth_deg: position.azimuth(),
        elevation_deg: elevation,
        cos_zenith: elevation.to_radians().sin(),
        distance_au: 1.000_14 - 0.016_71 * anomaly.cos() - 0.000_14 * (2.0 * anomaly).cos(),
    })
}
