//! Numbers that cannot be: named, with what is allowed.

use plimsoll_pitch::{Sky, Weather, across, along_lanes, direct_fraction, heat};
use proptest::prelude::*;

const MILD: Weather = Weather {
    temperature_c: 25.0,
    humidity_percent: 50.0,
    wind_m_s: 2.0,
    wind_height_m: 2.0,
    pressure_hpa: 1013.25,
};

#[test]
fn what_is_out_of_range_is_named() {
    let hot = Weather {
        temperature_c: 95.0,
        ..MILD
    };
    let sky = Sky::Globe {
        globe_c: 40.0,
        sun: None,
    };
    assert_eq!(
        heat(&hot, &sky).expect_err("refused").to_string(),
        "the air temperature is 95; allowed is -30 to 55 °C"
    );
    let dry = Weather {
        humidity_percent: f64::NAN,
        ..MILD
    };
    assert_eq!(
        heat(&dry, &sky).expect_err("refused").to_string(),
        "the relative humidity is NaN; allowed is 1 to 100 %"
    );
}

#[test]
fn wind_along_the_lanes_has_a_sign() {
    // From the north, lanes bearing south: it blows along them.
    assert!((along_lanes(5.0, 0.0, 180.0) - 5.0).abs() < 1e-12);
    assert!((along_lanes(5.0, 0.0, 0.0) + 5.0).abs() < 1e-12);
    assert!(along_lanes(5.0, 0.0, 90.0).abs() < 1e-12);
    assert!((across(30.0) - 120.0).abs() < 1e-12);
    assert!((across(200.0) - 110.0).abs() < 1e-12);
}

/// Source: the grid of the original calculation: 900 W/m² at noon in June are let through whole.
#[test]
fn the_direct_share_is_that_of_the_original() {
    let (capped, direct) =
        direct_fraction(900.0, 0.958_480_093_728_408_6, 1.016_2).expect("in range");
    assert!((capped - 900.0).abs() < 1e-9);
    assert!((direct - 0.758_424_321_688_560_6).abs() < 2e-3, "{direct}");
    let (capped, _) = direct_fraction(1_390.0, 0.5, 1.0).expect("in range");
    assert!((capped - 0.85 * 1367.0 * 0.5).abs() < 1e-9);
}

proptest! {
    #[test]
    fn there_is_an_answer_for_every_weather(
        t in -30.0..55.0f64, rh in 1.0..100.0f64, wind in 0.0..40.0f64,
        solar in 0.0..1200.0f64, cosine in 0.05..1.0f64, direct in 0.0..0.9f64,
    ) {
        let weather = Weather { temperature_c: t, humidity_percent: rh, wind_m_s: wind, ..MILD };
        let sky = Sky::Sun { solar_w_m2: solar * cosine, cos_zenith: cosine, direct };
        let got = heat(&weather, &sky);
        prop_assert!(got.is_ok(), "{got:?}");
        let got = got.expect("just now");
        prop_assert!(got.wbgt_c.is_finite() && got.natural_wet_bulb_c <= got.globe_c + 5.0);
    }

    #[test]
    fn more_wind_or_less_humidity_never_makes_it_hotter_in_the_sun(
        t in 15.0..35.0f64, rh in 10.0..90.0f64, wind in 0.5..8.0f64,
    ) {
        let sky = Sky::Sun { solar_w_m2: 800.0, cos_zenith: 0.9, direct: 0.6 };
        let at = |rh, wind| {
            let weather = Weather { temperature_c: t, humidity_percent: rh, wind_m_s: wind, ..MILD };
            heat(&weather, &sky).expect("in range").wbgt_c
        };
        prop_assert!(at(rh, wind + 1.0) <= at(rh, wind) + 1e-9);
        prop_assert!(at(rh - 5.0, wind) <= at(rh, wind) + 1e-9);
    }
}
