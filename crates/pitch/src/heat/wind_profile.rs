//! The wind at 2 m from the wind at another height, by the stability of the air.
//! Source: Liljegren et al. (2008) with the solar radiation method and rural exponents of the US EPA
//! (2000), EPA-454/R-99-005 (from memory).

/// Rural exponents of the power law, stability A to F.
const EXPONENTS: [f64; 6] = [0.07, 0.07, 0.10, 0.15, 0.35, 0.55];
/// Wind classes of the day, m/s, upper limits.
const WINDS: [f64; 4] = [2.0, 3.0, 5.0, 6.0];
/// Irradiance classes of the day, W/m², lower limits.
const SOLAR: [f64; 3] = [925.0, 675.0, 175.0];
/// Stability by wind class and irradiance class, 0 for A.
#[rustfmt::skip]
const BY_DAY: [[usize; 4]; 5] = [
    // ≥ 925  ≥ 675  ≥ 175  less      wind, m/s
    [0,       0,     1,     3], //    below 2
    [0,       1,     2,     3], //    below 3
    [1,       1,     2,     3], //    below 5
    [2,       2,     3,     3], //    below 6
    [2,       3,     3,     3], //    6 and more
];

/// Returns the wind at 2 m, m/s.
pub fn at_2_m(wind_m_s: f64, height_m: f64, solar_w_m2: f64, day: bool) -> f64 {
    if (height_m - 2.0).abs() < 1e-9 {
        return wind_m_s;
    }
    let stability = if day {
        let row = WINDS.iter().filter(|limit| wind_m_s >= **limit).count();
        let column = SOLAR.iter().filter(|limit| solar_w_m2 < **limit).count();
        BY_DAY[row][column]
    } else if wind_m_s < 2.0 {
        4
    } else {
        3
    };
    wind_m_s * (2.0 / height_m).powf(EXPONENTS[stability])
}
