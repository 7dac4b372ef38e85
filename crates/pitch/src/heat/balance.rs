//! The heat balances of a 50 mm black globe and of a wetted wick, and the temperatures that solve them.
//! Source: Liljegren et al. (2008), J Occup Environ Hyg 5:645-655 (formulas from memory).

use super::air::{
    CP, M_AIR, M_WATER, PRANDTL, SIGMA, ZERO_C, conductivity, density, diffusivity, evaporation,
    saturation_hpa, sky_emissivity, viscosity,
};
use crate::fault::PitchFault;

/// Emissivity of the ground.
const GROUND_EMISSIVITY: f64 = 0.999;
/// Albedo of the ground.
const GROUND_ALBEDO: f64 = 0.45;
/// Diameter of the globe, m.
const GLOBE_M: f64 = 0.0508;
/// Emissivity of the globe.
const GLOBE_EMISSIVITY: f64 = 0.95;
/// Albedo of the globe.
const GLOBE_ALBEDO: f64 = 0.05;
/// Diameter of the wick, m.
const WICK_M: f64 = 0.007;
/// Length of the wick, m.
const WICK_LENGTH_M: f64 = 0.0254;
/// Emissivity of the wick.
const WICK_EMISSIVITY: f64 = 0.95;
/// Albedo of the wick.
const WICK_ALBEDO: f64 = 0.4;
/// Air is never quite still, m/s.
const LEAST_WIND: f64 = 0.13;

/// The air around the thermometers, with the wind at 2 m.
#[derive(Debug, Clone, Copy)]
pub struct Surroundings {
    /// Air temperature, K.
    pub air_k: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
    /// Pressure, hPa.
    pub pressure_hpa: f64,
    /// Wind at 2 m, m/s.
    pub wind_m_s: f64,
    /// Solar irradiance on a flat surface, W/m².
    pub solar_w_m2: f64,
    /// Share of it that comes straight from the sun, 0 to 1.
    pub direct: f64,
    /// Cosine of the sun's zenith angle.
    pub cos_zenith: f64,
}

impl Surroundings {
    fn vapour_hpa(&self) -> f64 {
        self.humidity * saturation_hpa(self.air_k)
    }

    /// Long-wave radiation from sky and ground, as the mean of both, W/m² over σ.
    fn long_wave(&self) -> f64 {
        0.5 * (sky_emissivity(self.vapour_hpa()) + GROUND_EMISSIVITY) * self.air_k.powi(4)
    }

    fn wind(&self) -> f64 {
        self.wind_m_s.max(LEAST_WIND)
    }

    /// Gain of the globe for each W/m² of irradiance, as a share of its surface.
    fn globe_gain(&self) -> f64 {
        let beam = if self.direct > 0.0 {
            (1.0 / (2.0 * self.cos_zenith) - 1.0) * self.direct
        } else {
            0.0
        };
        (1.0 - GLOBE_ALBEDO) / (2.0 * GLOBE_EMISSIVITY * SIGMA) * (1.0 + beam + GROUND_ALBEDO)
    }

    /// What the globe would radiate at equilibrium minus what it does, in K⁴.
    fn globe_lack(&self, globe_k: f64) -> f64 {
        let film = f64::midpoint(globe_k, self.air_k);
        let reynolds = self.wind() * density(film, self.pressure_hpa) * GLOBE_M / viscosity(film);
        let nusselt = 2.0 + 0.6 * reynolds.sqrt() * PRANDTL.powf(1.0 / 3.0);
        let convection = nusselt * conductivity(film) / GLOBE_M;
        self.long_wave() - convection / (GLOBE_EMISSIVITY * SIGMA) * (globe_k - self.air_k)
            + self.solar_w_m2 * self.globe_gain()
            - globe_k.powi(4)
    }

    /// Returns the temperature of the globe, °C.
    ///
    /// # Errors
    ///
    /// [`PitchFault::NoBalance`].
    pub fn globe_c(&self) -> Result<f64, PitchFault> {
        let found = root(
            |k| self.globe_lack(k),
            self.air_k - 40.0,
            self.air_k + 120.0,
        );
        found
            .map(|k| k - ZERO_C)
            .ok_or_else(|| self.no_balance("globe"))
    }

    /// Returns the irradiance that would bring the globe to a temperature, W/m², not below 0.
    pub fn solar_for_globe(&self, globe_c: f64) -> f64 {
        let dark = Self {
            solar_w_m2: 0.0,
            ..*self
        };
        (-dark.globe_lack(globe_c + ZERO_C) / self.globe_gain()).max(0.0)
    }

    /// What the wick gains minus what it loses, as a temperature difference, K.
    fn wick_lack(&self, wick_k: f64) -> f64 {
        let film = f64::midpoint(wick_k, self.air_k);
        let rho = density(film, self.pressure_hpa);
        let mu = viscosity(film);
        let reynolds = self.wind() * rho * WICK_M / mu;
        let nusselt = 0.281 * reynolds.powf(0.6) * PRANDTL.powf(0.44);
        let convection = nusselt * conductivity(film) / WICK_M;
        let schmidt = mu / (rho * diffusivity(film, self.pressure_hpa));
        let ratio = CP * M_AIR / M_WATER / (PRANDTL / schmidt).powf(0.56);
        let (wet, air) = (saturation_hpa(wick_k), self.vapour_hpa());
        let evaporative = evaporation(film) / ratio * (wet - air) / (self.pressure_hpa - wet);
        let thickness = 0.25 * WICK_M / WICK_LENGTH_M;
        let beam = if self.direct > 0.0 {
            let zenith = self.cos_zenith.clamp(-1.0, 1.0).acos();
            self.direct * (zenith.tan() / std::f64::consts::PI + thickness)
        } else {
            0.0
        };
        let short_wave = (1.0 - WICK_ALBEDO)
            * self.solar_w_m2
            * ((1.0 - self.direct) * (1.0 + thickness) + beam + GROUND_ALBEDO);
        let radiation = WICK_EMISSIVITY * SIGMA * (self.long_wave() - wick_k.powi(4)) + short_wave;
        self.air_k - evaporative + radiation / convection - wick_k
    }

    /// Returns the natural wet-bulb temperature, °C.
    ///
    /// # Errors
    ///
    /// [`PitchFault::NoBalance`].
    pub fn natural_wet_bulb_c(&self) -> Result<f64, PitchFault> {
        let found = root(|k| self.wick_lack(k), self.air_k - 60.0, self.air_k + 40.0);
        found
            .map(|k| k - ZERO_C)
            .ok_or_else(|| self.no_balance("wet bulb"))
    }

    fn no_balance(&self, which: &'static str) -> PitchFault {
        PitchFault::NoBalance {
            which,
            low: self.air_k - 60.0 - ZERO_C,
            high: self.air_k + 120.0 - ZERO_C,
        }
    }
}

/// Halvings of the search: 180 K to less than a micro-kelvin.
const HALVINGS: u32 = 60;

/// Returns where a falling function crosses zero between two points, if it does.
fn root(lack: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> Option<f64> {
    let (at_low, at_high) = (lack(low), lack(high));
    if !(at_low >= 0.0 && at_high <= 0.0) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if lack(middle) >= 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(f64::midpoint(low, high))
}
