//! The words of `plimsoll heat`.

use clap::Args;

/// `plimsoll heat`.
#[derive(Debug, Args)]
pub struct Heat {
    /// Air temperature in the shade, °C.
    #[arg(long, value_name = "C", allow_hyphen_values = true)]
    pub temp: f64,
    /// Relative humidity, %.
    #[arg(long, value_name = "%")]
    pub humidity: f64,
    /// Wind, m/s.
    #[arg(long, value_name = "M/S")]
    pub wind: f64,
    /// Height of the wind reading, m.
    #[arg(long, value_name = "M", default_value_t = 2.0)]
    pub wind_height: f64,
    /// Solar irradiance on a flat surface, W/m²; 0 at night.
    #[arg(long, value_name = "W/M2", required_unless_present = "globe")]
    pub solar: Option<f64>,
    /// Pressure, hPa.
    #[arg(long, value_name = "HPA", default_value_t = 1013.25)]
    pub pressure: f64,
    /// Cosine of the sun's zenith angle.
    #[arg(long, value_name = "X", requires = "direct_fraction", conflicts_with_all = ["lat", "lon", "at"], allow_hyphen_values = true)]
    pub cos_zenith: Option<f64>,
    /// Share of the irradiance that comes straight from the sun, 0 to 1.
    #[arg(long, value_name = "F", requires = "cos_zenith")]
    pub direct_fraction: Option<f64>,
    /// Latitude, degrees, north positive.
    #[arg(long, value_name = "DEGREES", requires_all = ["lon", "at"], allow_hyphen_values = true)]
    pub lat: Option<f64>,
    /// Longitude, degrees, east positive.
    #[arg(long, value_name = "DEGREES", requires_all = ["lat", "at"], allow_hyphen_values = true)]
    pub lon: Option<f64>,
    /// Instant: 2026-06-21T17:00:00Z, or with an offset.
    #[arg(long, value_name = "TIME", requires_all = ["lat", "lon"])]
    pub at: Option<String>,
    /// A globe's own reading, °C.
    #[arg(
        long,
        value_name = "C",
        conflicts_with = "solar",
        allow_hyphen_values = true
    )]
    pub globe: Option<f64>,
    /// Minors run.
    #[arg(long)]
    pub minors: bool,
    /// The runners are not used to the heat.
    #[arg(long)]
    pub not_acclimatised: bool,
    /// Count every threshold one band lower: recent heat illness, fever, new arrivals.
    #[arg(long)]
    pub one_band_lower: bool,
}
