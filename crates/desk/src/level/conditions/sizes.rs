//! How much heat, wind and surface take, as studies have it, and how little is known of it.
//! Must keep every number beside its source; `references/conditions` lists the studies.

use plimsoll_archive::DayFacts;
use plimsoll_measure::level::Normal;

/// A course within this share of its length counts as right. Common practice, no source: 2 cm on 20 m.
pub const COURSE_TOLERANCE: f64 = 0.001;
/// A track within this share of its speed counts as right. Chosen, no source: less than a tenth of a bout.
pub const TRACK_TOLERANCE: f64 = 0.0003;
/// The rule that turns speed into bouts errs by this share of its answer. Chosen, no source.
pub const RULE_ERROR: f64 = 1.0 / 3.0;
/// The source of course and track in words.
pub const RULE: &str = "course and track: the same share of speed, read off the ladder, derived";

/// Share of speed lost for each degree outside the window. Mantzios 2022: 0.3 to 0.4 % in races from 3000 m to the
/// marathon; halved, since these tests end within 20 minutes (the halving is chosen, no source).
const HEAT_A_DEGREE: f64 = 0.5 * 0.0035;
/// The window of WBGT, and of air where that alone is known, °C. Mantzios 2022.
const WBGT_WINDOW: (f64, f64) = (7.5, 15.0);
const AIR_WINDOW: (f64, f64) = (10.0, 17.5);
/// SD of the loss in heat as a share of it: from nothing to twice as much. Chosen, no source.
pub const HEAT_DOUBT: f64 = 1.0;
/// The source of heat in words.
pub const HEAT: &str = "heat and cold: 0.3 to 0.4 % of speed a degree in long races, Mantzios 2022, abstract read; halved, chosen";

/// Share of running cost for each (m/s)² of wind along the lanes, out and back. Derived: drag grows with the square of
/// the air's speed, so both ways together cost k w² more; k from 2 % at 5 m/s (Davies 1980) to 8 % at 6 m/s (Pugh 1970).
const WIND_A_SQUARE: f64 = 0.0015;
/// The source of wind in words.
pub const WIND: &str =
    "wind: drag by its square, Davies 1980 and Pugh 1970, summaries read; derived";

/// Returns the share of speed that heat or cold takes; nothing when neither was recorded.
pub fn heat(day: &DayFacts) -> Option<f64> {
    let (seen, (low, high)) = match (day.wbgt_c, day.temperature_c) {
        (Some(wbgt), _) => (wbgt, WBGT_WINDOW),
        (None, Some(air)) => (air, AIR_WINDOW),
        (None, None) => return None,
    };
    Some(HEAT_A_DEGREE * ((seen - high).max(0.0) + (low - seen).max(0.0)))
}

/// Returns the share of speed that wind takes; nothing when it was not recorded. Without its direction half of the
/// square is along the lanes, on average over all directions (derived).
pub fn wind(day: &DayFacts) -> Option<f64> {
    let square = match (day.wind_along_lane_m_s, day.wind_m_s) {
        (Some(along), _) => along * along,
        (None, Some(any)) => 0.5 * any * any,
        (None, None) if day.indoor == Some(true) => 0.0,
        (None, None) => return None,
    };
    Some(WIND_A_SQUARE * square)
}

/// Returns the SD of that loss as a share of it: half where the two studies differ, all where the direction is missing.
pub fn wind_doubt(day: &DayFacts) -> f64 {
    if day.wind_along_lane_m_s.is_some() {
        0.5
    } else {
        1.0
    }
}

/// Returns what another surface adds to ln of the result, and the source; nothing on the same one.
pub fn surface(here: &str, usual: &str) -> Option<(Normal, &'static str)> {
    if here == usual {
        return None;
    }
    let about = |sd| Normal { mean: 0.0, sd };
    Some(match (Floor::of(here), Floor::of(usual)) {
        // Root mean square of ln 1.64 (Ferigne 2025) and −ln 1.06 (Ammar 2019): they point in opposite directions.
        (Floor::Grass, Floor::Artificial) | (Floor::Artificial, Floor::Grass) => (
            about(0.35),
            "grass or artificial: Ferigne 2025 and Ammar 2019 point in opposite directions, abstracts read",
        ),
        (Floor::Hall, Floor::Hall) => (
            about(0.05),
            "two hall floors: no difference seen, Léger & Lambert 1982, abstract read; width chosen",
        ),
        _ => (about(0.15), "another surface: no study, width chosen"),
    })
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Floor {
    Grass,
    Artificial,
    Hall,
    Other,
}

impl Floor {
    fn of(name: &str) -> Self {
        let has = |words: &[&str]| words.iter().any(|w| name.contains(w));
        if has(&["artificial", "synthetic", "turf", "3g", "4g"]) {
            Self::Artificial
        } else if has(&["grass"]) {
            Self::Grass
        } else if has(&["wood", "vinyl", "rubber", "parquet", "hall", "linoleum"]) {
            Self::Hall
        } else {
            Self::Other
        }
    }
}
