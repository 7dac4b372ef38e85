//! Properties of air and water vapour that the heat balances need.
//! Source: Liljegren et al. (2008), J Occup Environ Hyg 5:645-655, after Bird, Stewart and Lightfoot,
//! Transport Phenomena (1960), and Buck (1981), J Appl Meteorol 20:1527-1532 (from memory).

/// Molar mass of dry air, g/mol.
pub const M_AIR: f64 = 28.97;
/// Molar mass of water, g/mol.
pub const M_WATER: f64 = 18.015;
/// Heat capacity of dry air at constant pressure, J/(kg K).
pub const CP: f64 = 1003.5;
/// Gas constant of dry air, J/(kg K).
pub const R_AIR: f64 = 8314.34 / M_AIR;
/// Prandtl number of air.
pub const PRANDTL: f64 = CP / (CP + 1.25 * R_AIR);
/// Stefan-Boltzmann constant, W/(m² K⁴).
pub const SIGMA: f64 = 5.6696e-8;
/// 0 °C, K.
pub const ZERO_C: f64 = 273.15;

/// Returns the saturation vapour pressure over water, hPa, at a temperature in K.
pub fn saturation_hpa(kelvin: f64) -> f64 {
    let t = kelvin - ZERO_C;
    // 0.4 % for air that is not pure vapour.
    1.004 * 6.1121 * (17.502 * t / (240.97 + t)).exp()
}

/// Returns the viscosity of air, kg/(m s).
pub fn viscosity(kelvin: f64) -> f64 {
    let reduced = kelvin / 97.0;
    let collision = (reduced - 2.9) / 0.4 * -0.034 + 1.048;
    2.6693e-6 * (M_AIR * kelvin).sqrt() / (3.617 * 3.617 * collision)
}

/// Returns the thermal conductivity of air, W/(m K).
pub fn conductivity(kelvin: f64) -> f64 {
    (CP + 1.25 * R_AIR) * viscosity(kelvin)
}

/// Returns the diffusivity of water vapour in air, m²/s.
pub fn diffusivity(kelvin: f64, pressure_hpa: f64) -> f64 {
    let critical_pressure = (36.4_f64 * 218.0).powf(1.0 / 3.0);
    let critical_temperature = 132.0_f64 * 647.3;
    let masses = (1.0 / M_AIR + 1.0 / M_WATER).sqrt();
    3.640e-4
        * (kelvin / critical_temperature.sqrt()).powf(2.334)
        * critical_pressure
        * critical_temperature.powf(5.0 / 12.0)
        * masses
        / (pressure_hpa / 1013.25)
        * 1e-4
}

/// Returns the density of air, kg/m³.
pub fn density(kelvin: f64, pressure_hpa: f64) -> f64 {
    pressure_hpa * 100.0 / (R_AIR * kelvin)
}

/// Returns the heat of evaporation of water, J/kg.
pub fn evaporation(kelvin: f64) -> f64 {
    (313.15 - kelvin) / 30.0 * -71_100.0 + 2.4073e6
}

/// Returns the emissivity of a clear sky at a vapour pressure in hPa.
pub fn sky_emissivity(vapour_hpa: f64) -> f64 {
    0.575 * vapour_hpa.powf(0.143)
}
