//! Wet-bulb globe temperature out of doors from common readings, or with a globe's own reading.
//! Source: Liljegren et al. (2008), J Occup Environ Hyg 5:645-655. Without a globe it is an estimate.

mod air;
mod balance;
mod wind_profile;

use balance::Surroundings;

use crate::fault::{PitchFault, Range};

/// Air temperature.
const TEMPERATURE: Range = range("the air temperature", "°C", -30.0, 55.0);
/// Relative humidity.
const HUMIDITY: Range = range("the relative humidity", "%", 1.0, 100.0);
/// Wind.
const WIND: Range = range("the wind", "m/s", 0.0, 40.0);
/// Height of the wind reading.
const HEIGHT: Range = range("the height of the wind reading", "m", 0.5, 50.0);
/// Irradiance.
const SOLAR: Range = range("the solar irradiance", "W/m²", 0.0, 1400.0);
/// Pressure.
const PRESSURE: Range = range("the pressure", "hPa", 500.0, 1100.0);
/// Cosine of the zenith angle.
const COSINE: Range = range("the cosine of the sun's zenith angle", "", -1.0, 1.0);
/// Direct share.
const DIRECT: Range = range("the direct share of the irradiance", "", 0.0, 1.0);
/// Globe reading.
const GLOBE: Range = range("the globe temperature", "°C", -30.0, 90.0);
/// Solar constant, W/m².
const SOLAR_CONSTANT: f64 = 1367.0;
/// Rounds between sun and wind; the classes of the wind profile settle in two.
const WIND_ROUNDS: usize = 3;
/// The sun counts as down from 89.5° of zenith angle on.
const SUN_DOWN: f64 = 0.008_726_5;

const fn range(what: &'static str, unit: &'static str, low: f64, high: f64) -> Range {
    Range {
        what,
        unit,
        low,
        high,
    }
}

/// The readings of a moment at pitch height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weather {
    /// Air temperature in the shade, °C.
    pub temperature_c: f64,
    /// Relative humidity, %.
    pub humidity_percent: f64,
    /// Wind, m/s.
    pub wind_m_s: f64,
    /// Height of the wind reading, m.
    pub wind_height_m: f64,
    /// Pressure, hPa.
    pub pressure_hpa: f64,
}

/// What is known of the sun.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sky {
    /// Irradiance on a flat surface with the sun's place.
    Sun {
        /// Irradiance, W/m².
        solar_w_m2: f64,
        /// Cosine of the sun's zenith angle.
        cos_zenith: f64,
        /// Share that comes straight from the sun.
        direct: f64,
    },
    /// A globe's own reading.
    Globe {
        /// Its temperature, °C.
        globe_c: f64,
        /// Where the sun stands, for the wick: cosine of its zenith angle, and the share of the
        /// irradiance that comes straight from it. Unknown, the light is taken as coming from all
        /// sides, which errs by up to about 1 °C on the safe side in strong sun.
        sun: Option<(f64, f64)>,
    },
}

/// How a value was got.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeatMethod {
    /// Computed from irradiance: an estimate.
    Estimated,
    /// With a globe reading; the wet bulb is still computed.
    MeasuredGlobe,
}

/// The heat at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Wet-bulb globe temperature, °C.
    pub wbgt_c: f64,
    /// Globe temperature, °C.
    pub globe_c: f64,
    /// Natural wet-bulb temperature, °C.
    pub natural_wet_bulb_c: f64,
    /// Wind at 2 m, m/s.
    pub wind_2m_m_s: f64,
    /// How it was got.
    pub method: HeatMethod,
}

/// Returns the heat out of doors: 0.7 natural wet bulb + 0.2 globe + 0.1 air.
///
/// # Errors
///
/// [`PitchFault`] says which reading is out of range, or which balance has no solution.
pub fn heat(weather: &Weather, sky: &Sky) -> Result<Heat, PitchFault> {
    let air_c = TEMPERATURE.check(weather.temperature_c)?;
    let humidity = HUMIDITY.check(weather.humidity_percent)? / 100.0;
    let wind = WIND.check(weather.wind_m_s)?;
    let height = HEIGHT.check(weather.wind_height_m)?;
    let pressure_hpa = PRESSURE.check(weather.pressure_hpa)?;
    let (solar, cosine, direct) = match *sky {
        Sky::Sun {
            solar_w_m2,
            cos_zenith,
            direct,
        } => {
            let cosine = COSINE.check(cos_zenith)?;
            let solar = SOLAR.check(solar_w_m2)?;
            let direct = DIRECT.check(direct)?;
            if cosine < SUN_DOWN {
                (solar, cosine, 0.0)
            } else {
                (solar, cosine, direct)
            }
        }
        Sky::Globe { globe_c, sun } => {
            GLOBE.check(globe_c)?;
            let (cosine, direct) = sun.unwrap_or((1.0, 0.0));
            let (cosine, direct) = (COSINE.check(cosine)?, DIRECT.check(direct)?);
            let direct = if cosine < SUN_DOWN { 0.0 } else { direct };
            (0.0, cosine, direct)
        }
    };
    let wind_2m = wind_profile::at_2_m(wind, height, solar, cosine >= SUN_DOWN);
    let mut around = Surroundings {
        air_k: air_c + air::ZERO_C,
        humidity,
        pressure_hpa,
        wind_m_s: wind_2m,
        solar_w_m2: solar,
        direct,
        cos_zenith: cosine,
    };
    let (globe_c, method) = match *sky {
        Sky::Sun { .. } => (around.globe_c()?, HeatMethod::Estimated),
        Sky::Globe { globe_c, .. } => {
            // The wick stands in the same sun as the globe; the sun decides how still the air is,
            // and the wind how much sun the globe needs.
            for _ in 0..WIND_ROUNDS {
                around.solar_w_m2 = around.solar_for_globe(globe_c);
                around.wind_m_s =
                    wind_profile::at_2_m(wind, height, around.solar_w_m2, cosine >= SUN_DOWN);
            }
            around.solar_w_m2 = around.solar_for_globe(globe_c);
            (globe_c, HeatMethod::MeasuredGlobe)
        }
    };
    let natural_wet_bulb_c = around.natural_wet_bulb_c()?;
    Ok(Heat {
        wbgt_c: 0.7 * natural_wet_bulb_c + 0.2 * globe_c + 0.1 * air_c,
        globe_c,
        natural_wet_bulb_c,
        wind_2m_m_s: around.wind_m_s,
        method,
    })
}

/// Returns the wet-bulb globe temperature in the shade or indoors, °C.
pub fn wbgt_in_shade(natural_wet_bulb_c: f64, globe_c: f64) -> f64 {
    0.7 * natural_wet_bulb_c + 0.3 * globe_c
}

/// Returns the irradiance, capped at what a clear sky lets through, and the share of it that comes
/// straight from the sun. `distance_au` is the distance of the sun, 0.98 to 1.02.
///
/// Source: Liljegren et al. (2008), equations 13 and 14 (from memory).
///
/// # Errors
///
/// [`PitchFault::Value`].
pub fn direct_fraction(
    solar_w_m2: f64,
    cos_zenith: f64,
    distance_au: f64,
) -> Result<(f64, f64), PitchFault> {
    let solar = SOLAR.check(solar_w_m2)?;
    let cosine = COSINE.check(cos_zenith)?;
    let most = SOLAR_CONSTANT * cosine.max(0.0) / (distance_au * distance_au);
    if cosine < SUN_DOWN || most <= 0.0 || solar <= 0.0 {
        return Ok((if cosine < SUN_DOWN { 0.0 } else { solar }, 0.0));
    }
    let clear = (solar / most).min(0.85);
    let direct = (3.0 - 1.34 * clear - 1.65 / clear).exp().clamp(0.0, 0.9);
    Ok((clear * most, direct))
}
