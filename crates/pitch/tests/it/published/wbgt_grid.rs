//! Source: `lwbgt` 1.2.1, which wraps the original C calculation of Liljegren et al. (2008), run for this
//! project; `thermofeel`'s separate implementation agrees with it to 0.0012 °C on the same grid.

use plimsoll_pitch::{HeatMethod, Sky, Weather, heat, wbgt_in_shade};

/// The source iterates until two steps differ by less than 0.02 °C; ours solves the balance.
const WBGT_C: f64 = 0.05;
/// Its globe and wick alone, for the same reason.
const PART_C: f64 = 0.08;

fn rows() -> Vec<(String, std::collections::HashMap<String, f64>)> {
    let text = include_str!("../../data/wbgt_grid.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().expect("a head").clone();
    reader
        .records()
        .map(|record| {
            let record = record.expect("a row");
            let values = head.iter().zip(&record).skip(1);
            let values = values.filter_map(|(name, v)| Some((name.to_owned(), v.parse().ok()?)));
            (record[0].to_owned(), values.collect())
        })
        .collect()
}

fn weather(row: &std::collections::HashMap<String, f64>) -> Weather {
    Weather {
        temperature_c: row["T_C"],
        humidity_percent: row["RH"],
        wind_m_s: row["wind_m_s"],
        wind_height_m: row["wind_height_m"],
        pressure_hpa: row["pressure_hPa"],
    }
}

#[test]
fn every_point_of_the_grid() {
    let rows = rows();
    assert_eq!(rows.len(), 22);
    for (scene, row) in &rows {
        let sky = Sky::Sun {
            solar_w_m2: row["solar_capped"],
            cos_zenith: row["cos_zenith_pvlib"],
            direct: row["f_direct"],
        };
        let got = heat(&weather(row), &sky).expect("in range");
        let near = |name: &str, got: f64, within: f64| {
            let want = row[name];
            assert!(
                (got - want).abs() <= within,
                "{scene} {name}: {got} for {want}"
            );
        };
        near("WBGT_liljegren", got.wbgt_c, WBGT_C);
        near("T_globe", got.globe_c, PART_C);
        near("T_natural_wet_bulb", got.natural_wet_bulb_c, PART_C);
        near("est_wind_2m", got.wind_2m_m_s, 1e-6);
        assert_eq!(got.method, HeatMethod::Estimated);
    }
}

/// The globe's own reading, put in, leads back to the same heat when the sun's place is known, and errs
/// on the safe side when it is not.
#[test]
fn a_globe_reading_leads_back_to_the_same_heat() {
    for (scene, row) in rows() {
        let globe_c = row["T_globe"];
        let want = row["WBGT_liljegren"];
        let sun = Some((row["cos_zenith_pvlib"], row["f_direct"]));
        let known = heat(&weather(&row), &Sky::Globe { globe_c, sun }).expect("in range");
        assert_eq!(known.method, HeatMethod::MeasuredGlobe);
        let got = known.wbgt_c;
        assert!((got - want).abs() <= WBGT_C, "{scene}: {got} for {want}");
        let sky = Sky::Globe { globe_c, sun: None };
        let unknown = heat(&weather(&row), &sky).expect("in range").wbgt_c;
        assert!(
            (-0.4..=1.2).contains(&(unknown - want)),
            "{scene}: {unknown} for {want}"
        );
    }
}

/// Source: the weights of the two forms (ISO 7243, from memory).
#[test]
fn in_the_shade_the_globe_takes_the_airs_share() {
    assert!((wbgt_in_shade(20.0, 30.0) - 23.0).abs() < 1e-12);
}

/// Source: pvlib's cosine in the same grid: solar noon on 21 June at 40° N, 75° W.
#[test]
fn the_sun_at_noon_in_june_stands_where_pvlib_has_it() {
    let noon = 1_782_061_200_000; // 2026-06-21T17:00:00Z
    let sun = plimsoll_pitch::sun(40.0, -75.0, noon).expect("a place");
    assert!(
        (sun.cos_zenith - 0.958_480_093_728_408_6).abs() < 2e-4,
        "{sun:?}"
    );
    assert!((sun.distance_au - 1.0163).abs() < 2e-4, "{sun:?}");
    let (capped, direct) =
        plimsoll_pitch::direct_fraction(900.0, sun.cos_zenith, sun.distance_au).expect("in range");
    assert!((capped - 900.0).abs() < 1e-9);
    assert!((direct - 0.758_424_321_688_560_6).abs() < 1e-3, "{direct}");
}
