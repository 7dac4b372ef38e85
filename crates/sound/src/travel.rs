//! How sound travels across a field: when it arrives and how much weaker.
//! Speed in dry air c = 331.3 · √(1 + T/273.15) m/s, T in °C: ideal gas, c ∝ √(absolute temperature),
//! with 331.3 m/s at 0 °C (from memory); level of a point source in the open ∝ 1/distance (derived).

/// Speed of sound in dry air at 0 °C, m/s.
const AT_ZERO_M_S: f64 = 331.3;
/// 0 °C in kelvin.
const ZERO_K: f64 = 273.15;

/// Returns the speed of sound in dry air, m/s; the temperature is in °C, above −273.15.
pub fn speed_m_s(celsius: f64) -> f64 {
    AT_ZERO_M_S * (1.0 + celsius / ZERO_K).sqrt()
}

/// Returns how long sound takes over a distance in metres at a temperature in °C, ms.
pub fn delay_ms(distance_m: f64, celsius: f64) -> f64 {
    distance_m / speed_m_s(celsius) * 1000.0
}

/// Returns how much weaker sound is at one distance than at a nearer one, dB; both above 0, m.
///
/// Pressure falls with 1/r, and a level is 20 · log₁₀ of pressure: 6.02 dB for each doubling.
pub fn loss_db(near_m: f64, far_m: f64) -> f64 {
    20.0 * (far_m / near_m).log10()
}

#[cfg(test)]
mod tests {
    use super::{delay_ms, loss_db, speed_m_s};

    #[test]
    fn twenty_metres_at_twenty_degrees_are_58_ms() {
        // By hand: √(293.15/273.15) = 1.035963, · 331.3 = 343.21 m/s, 20/343.21 = 58.27 ms.
        assert!((speed_m_s(20.0) - 343.21).abs() < 0.01);
        assert!((delay_ms(20.0, 20.0) - 58.27).abs() < 0.01);
        // Cold air is slower: 20/331.3 = 60.37 ms.
        assert!((delay_ms(20.0, 0.0) - 60.37).abs() < 0.01);
    }

    #[test]
    fn each_doubling_of_distance_costs_six_decibels() {
        assert!((loss_db(10.0, 20.0) - 6.0206).abs() < 1e-4);
        assert!((loss_db(10.0, 80.0) - 3.0 * 6.0206).abs() < 1e-3);
    }
}
