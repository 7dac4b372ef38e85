//! `plimsoll heat`: how hot it is for a runner, and what named policies advise. It never blocks.

use plimsoll_pitch::{
    Advice, Circumstances, Heat as Answer, HeatMethod, Sky, Verdict, Weather, advice,
    direct_fraction, heat, heat_index, sun,
};
use serde_json::json;

use crate::cli::Heat;
use crate::failure::{Failure, Found};
use crate::print::{self, Align, number, short};

/// Prints the heat and the advice; findings when the default policy says not to run a maximal test.
pub fn run(args: &Heat, as_json: bool) -> Result<Found, Failure> {
    let weather = Weather {
        temperature_c: args.temp,
        humidity_percent: args.humidity,
        wind_m_s: args.wind,
        wind_height_m: args.wind_height,
        pressure_hpa: args.pressure,
    };
    let answer = heat(&weather, &sky(args)?).map_err(Failure::new)?;
    let who = Circumstances {
        minors: args.minors,
        acclimatised: !args.not_acclimatised,
        lowered: args.one_band_lower,
    };
    let given = advice(answer.wbgt_c, &who);
    let estimate = answer.method == HeatMethod::Estimated;
    let method = match answer.method {
        HeatMethod::Estimated => "Liljegren 2008, estimate, no globe reading",
        HeatMethod::MeasuredGlobe => "measured globe, wet bulb after Liljegren 2008",
    };
    let index = heat_index(args.temp, args.humidity);
    if as_json {
        print::json(&json!({
            "wbgt": number(answer.wbgt_c),
            "globe": number(answer.globe_c),
            "natural_wet_bulb": number(answer.natural_wet_bulb_c),
            "wind_2m": number(answer.wind_2m_m_s),
            "method": method,
            "estimate": estimate,
            "heat_index": number(index),
            "advice": given,
        }))?;
    } else {
        print::text(words(&answer, method, index, &given))?;
    }
    let verdict = given.first().map(|a| a.verdict);
    Ok(Found::any(matches!(
        verdict,
        Some(Verdict::Easier | Verdict::NoTest)
    )))
}

fn sky(args: &Heat) -> Result<Sky, Failure> {
    let place = match (args.lat, args.lon, &args.at) {
        (Some(lat), Some(lon), Some(at)) => {
            let instant: jiff::Timestamp = at.parse().map_err(|_| {
                Failure::new(format!("--at is `{at}`")).hint(
                    "write an instant such as 2026-06-21T17:00:00Z or 2026-06-21T13:00:00-04:00",
                )
            })?;
            Some(sun(lat, lon, instant.as_millisecond()).map_err(Failure::new)?)
        }
        _ => None,
    };
    let given = args.cos_zenith.zip(args.direct_fraction);
    if let Some(globe_c) = args.globe {
        // Without the irradiance the share is not known; the sun's place alone does not help.
        return Ok(Sky::Globe {
            globe_c,
            sun: given,
        });
    }
    let solar = args.solar.unwrap_or(0.0);
    if let Some((cos_zenith, direct)) = given {
        return Ok(Sky::Sun {
            solar_w_m2: solar,
            cos_zenith,
            direct,
        });
    }
    let Some(place) = place else {
        if solar > 0.0 {
            return Err(Failure::new("--solar needs to know where the sun stands").hint(
                "give --lat, --lon and --at; or --cos-zenith and --direct-fraction; or a globe's \
                 reading with --globe instead",
            ));
        }
        return Ok(Sky::Sun {
            solar_w_m2: 0.0,
            cos_zenith: -1.0,
            direct: 0.0,
        });
    };
    let (capped, direct) =
        direct_fraction(solar, place.cos_zenith, place.distance_au).map_err(Failure::new)?;
    Ok(Sky::Sun {
        solar_w_m2: capped,
        cos_zenith: place.cos_zenith,
        direct,
    })
}

fn words(answer: &Answer, method: &str, index: f64, given: &[Advice]) -> String {
    let mut text = format!(
        "WBGT {} °C ({method})\nglobe {} °C, natural wet bulb {} °C, heat index {} °C (shade, at rest)\n\n",
        short(answer.wbgt_c, 1),
        short(answer.globe_c, 1),
        short(answer.natural_wet_bulb_c, 1),
        short(index, 1),
    );
    let head = [
        ("policy", Align::Left),
        ("band, °C", Align::Left),
        ("a maximal test", Align::Left),
        ("advice", Align::Left),
    ];
    let rows: Vec<Vec<String>> = given
        .iter()
        .map(|a| {
            let verdict = match a.verdict {
                Verdict::Run => "run",
                Verdict::Care => "run with care",
                Verdict::Easier => "easier form or later",
                Verdict::NoTest => "no test",
            };
            vec![
                a.policy.clone(),
                a.band.clone(),
                verdict.to_owned(),
                a.text.clone(),
            ]
        })
        .collect();
    text += &print::table(&head, &rows);
    text += "\nThis advises and does not decide: medical staff and local rules do. The submaximal form\n\
             (`plimsoll tests`) or a cooler hour are always open. Cool first, transport second, in heat\n\
             stroke. `plimsoll cautions` prints the rest.\n";
    text
}
