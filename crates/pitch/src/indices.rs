//! Short formulas for heat that need no sun: each with its source and where it misleads.

/// Returns the vapour pressure, hPa, of air at a temperature in °C and a relative humidity in %.
///
/// Source: Bureau of Meteorology of Australia, as thermofeel's documentation quotes it (read).
pub fn vapour_pressure_hpa(temperature_c: f64, humidity_percent: f64) -> f64 {
    humidity_percent / 100.0 * 6.105 * (17.27 * temperature_c / (237.7 + temperature_c)).exp()
}

/// Returns an approximate wet-bulb globe temperature, °C, from temperature and humidity alone.
///
/// It assumes sun and a light wind: too low in calm strong sun, which is the unsafe side, and too
/// high in cloud, wind and at night. Not used for advice. Source: as [`vapour_pressure_hpa`].
pub fn bom_approximation(temperature_c: f64, humidity_percent: f64) -> f64 {
    0.567 * temperature_c + 0.393 * vapour_pressure_hpa(temperature_c, humidity_percent) + 3.94
}

/// Returns the wet-bulb temperature, °C, in still shade at sea level.
///
/// Source: Stull (2011), J Appl Meteorol Climatol 50:2267-2269, equation 1 (from memory).
pub fn stull_wet_bulb(temperature_c: f64, humidity_percent: f64) -> f64 {
    let (t, rh) = (temperature_c, humidity_percent);
    t * (0.151_977 * (rh + 8.313_659).sqrt()).atan() + (t + rh).atan() - (rh - 1.676_331).atan()
        + 0.003_918_38 * rh.powf(1.5) * (0.023_101 * rh).atan()
        - 4.686_035
}

/// Returns the dew point, °C.
///
/// Inverse of [`vapour_pressure_hpa`] at saturation. Derived.
pub fn dew_point(temperature_c: f64, humidity_percent: f64) -> f64 {
    let share = (vapour_pressure_hpa(temperature_c, humidity_percent) / 6.105).ln();
    237.7 * share / (17.27 - share)
}

/// Returns the humidex, °C.
///
/// Source: Masterton and Richardson (1979), Environment Canada CLI 1-79 (from memory), with the vapour
/// pressure from temperature and humidity, 6.112 × 10^(7.5 t / (237.7 + t)).
pub fn humidex(temperature_c: f64, humidity_percent: f64) -> f64 {
    let t = temperature_c;
    let vapour = 6.112 * 10.0_f64.powf(7.5 * t / (237.7 + t)) * humidity_percent / 100.0;
    t + 5.0 / 9.0 * (vapour - 10.0)
}

/// Returns the heat index of the US National Weather Service, °C: a shade value for people at rest.
///
/// Source: Rothfusz (1990), NWS Southern Region SR 90-23, with the service's own simple form below
/// 80 °F and its adjustments for dry and humid air (from memory).
pub fn heat_index(temperature_c: f64, humidity_percent: f64) -> f64 {
    let (t, rh) = (temperature_c * 1.8 + 32.0, humidity_percent);
    let simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + rh * 0.094);
    let fahrenheit = if f64::midpoint(simple, t) < 80.0 {
        simple
    } else {
        let full = -42.379 + 2.049_015_23 * t + 10.143_331_27 * rh
            - 0.224_755_41 * t * rh
            - 0.006_837_83 * t * t
            - 0.054_817_17 * rh * rh
            + 0.001_228_74 * t * t * rh
            + 0.000_852_82 * t * rh * rh
            - 0.000_001_99 * t * t * rh * rh;
        if rh < 13.0 && (80.0..=112.0).contains(&t) {
            full - (13.0 - rh) / 4.0 * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt()
        } else if rh > 85.0 && (80.0..=87.0).contains(&t) {
            full + (rh - 85.0) / 10.0 * ((87.0 - t) / 5.0)
        } else {
            full
        }
    };
    (fahrenheit - 32.0) / 1.8
}
