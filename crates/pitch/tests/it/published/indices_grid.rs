//! Source: values run for this project with thermofeel, MetPy, PsychroLib, pythermalcomfort and an own copy
//! of the NWS algorithm; which column to trust is said at each check.

use plimsoll_pitch::{
    bom_approximation, dew_point, heat_index, humidex, stull_wet_bulb, vapour_pressure_hpa,
};

/// Both sides are the same closed formula.
const SAME: f64 = 1e-9;

#[test]
fn every_point_of_the_grid() {
    let text = include_str!("../../data/indices_grid.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().expect("a head").clone();
    let mut n = 0;
    for record in reader.records() {
        let record = record.expect("a row");
        let value = |name: &str| -> f64 {
            let at = head.iter().position(|h| h == name).expect("a column");
            record[at].parse().expect("a number")
        };
        let (t, rh) = (value("T_C"), value("RH"));
        let near = |name: &str, got: f64, within: f64| {
            let want = value(name);
            assert!(
                (got - want).abs() <= within,
                "{t} °C, {rh} %, {name}: {got} for {want}"
            );
        };
        near("e_hPa_bom", vapour_pressure_hpa(t, rh), SAME);
        near("wbgt_bom", bom_approximation(t, rh), SAME);
        near("wetbulb_stull", stull_wet_bulb(t, rh), SAME);
        // DIFFERENCE: meteocalc is off by up to 0.42 °C where the service adjusts for dry or humid
        // air, and MetPy takes the other branch at 27 °C and 10 %; the algorithm itself is followed.
        near("heat_index_nws_C", heat_index(t, rh), 1e-6);
        // DIFFERENCE: dew points by other saturation formulas; apart by 2 °C among themselves at 10 %.
        near("dewpoint_metpy", dew_point(t, rh), 0.3);
        near("humidex_pythermalcomfort", humidex(t, rh), SAME);
        n += 1;
    }
    assert_eq!(n, 23);
}

/// Source: NWS heat index chart (table from memory): whole degrees Fahrenheit.
#[test]
fn cells_of_the_printed_chart() {
    for (f, rh, want) in [
        (90.0, 60.0, 100.0),
        (96.0, 50.0, 108.0),
        (100.0, 55.0, 124.0),
        (110.0, 40.0, 136.0),
        (80.0, 90.0, 86.0),
    ] {
        let got: f64 = heat_index((f - 32.0) / 1.8, rh) * 1.8 + 32.0;
        assert_eq!(got.round(), want, "{f} °F, {rh} %");
    }
}

/// Source: Stull (2011): 20 °C and 50 % give 13.7 °C (from memory).
#[test]
fn stulls_own_example() {
    assert!((stull_wet_bulb(20.0, 50.0) - 13.7).abs() < 0.05);
}
