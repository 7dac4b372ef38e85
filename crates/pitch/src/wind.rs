//! The wind along the lanes: it never cancels out over out and back.
//! Derived; directions in degrees from north, clockwise.

/// Returns the wind along the lanes, m/s, positive when it blows from the start line to the far line.
///
/// `from_deg` is where the wind comes from; `lanes_deg` the bearing from the start line to the far line.
pub fn along_lanes(wind_m_s: f64, from_deg: f64, lanes_deg: f64) -> f64 {
    -wind_m_s * (from_deg - lanes_deg).to_radians().cos()
}

/// Returns the bearing of lanes laid across the wind, 0 to 180 degrees.
pub fn across(from_deg: f64) -> f64 {
    (from_deg + 90.0).rem_euclid(180.0)
}
