//! The day card: what is known of a test day beside its sheet, one small TOML file.
//! Every key is optional; an unknown key is a fault, not ignored.

use jiff::civil::{Date, Time};
use plimsoll_archive::DayFacts;
use plimsoll_ladder::Test;
use serde::Deserialize;

/// The file as it is written.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Card {
    name: Option<String>,
    squad: Option<String>,
    test: Option<String>,
    venue: Option<String>,
    surface: Option<String>,
    indoor: Option<bool>,
    start_time: Option<String>,
    temperature_c: Option<f64>,
    humidity_percent: Option<f64>,
    wind_m_s: Option<f64>,
    wind_along_lane_m_s: Option<f64>,
    wbgt_c: Option<f64>,
    course_length_m: Option<f64>,
    encouragement: Option<String>,
    deviation: Option<String>,
    notes: Option<String>,
}

/// A day card that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DayCardError {
    /// The text is not a day card.
    #[error("{file}: {message}")]
    Text {
        /// The file.
        file: String,
        /// What is wrong, with line and column.
        message: String,
    },
    /// A value is out of range or in another form.
    #[error("{file}: `{key}` is {found}; allowed is {allowed}")]
    Value {
        /// The file.
        file: String,
        /// The key.
        key: &'static str,
        /// What stands there.
        found: String,
        /// What may stand there.
        allowed: &'static str,
    },
    /// The card names another test than the import.
    #[error(
        "{file}: the card is for the test `{card}` and the sheet is imported as `{sheet}`; correct one of them"
    )]
    OtherTest {
        /// The file.
        file: String,
        /// The test of the card.
        card: String,
        /// The test of the import.
        sheet: String,
    },
}

/// What a card says: the day, and what holds for every runner of it.
#[derive(Debug, Clone, PartialEq)]
pub struct DayCard {
    /// The day.
    pub facts: DayFacts,
    /// Shouting from the side: `none`, `scripted` or `free`.
    pub encouragement: Option<String>,
}

/// Returns the facts of a day for a test, without a card.
pub fn plain_day(date: Date, test: &Test) -> DayFacts {
    DayFacts {
        ladder_id: Some(test.id().to_owned()),
        ladder_fingerprint: test.ladder().map(|_| test.fingerprint()),
        settings: serde_json::to_value(&test.definition().rules).ok(),
        ..DayFacts::on(date)
    }
}

/// Reads a day card for a test day.
///
/// # Errors
///
/// [`DayCardError`] with the file, the key and what was allowed.
pub fn day_card(file: &str, text: &str, date: Date, test: &Test) -> Result<DayCard, DayCardError> {
    let card: Card = toml::from_str(text).map_err(|e| DayCardError::Text {
        file: file.to_owned(),
        message: e.to_string().trim().to_owned(),
    })?;
    if let Some(named) = card.test.as_deref().filter(|named| *named != test.id()) {
        return Err(DayCardError::OtherTest {
            file: file.to_owned(),
            card: named.to_owned(),
            sheet: test.id().to_owned(),
        });
    }
    let check = |key, value: Option<f64>, low: f64, high: f64, allowed| match value {
        Some(v) if !(low..=high).contains(&v) => Err(DayCardError::Value {
            file: file.to_owned(),
            key,
            found: v.to_string(),
            allowed,
        }),
        fine => Ok(fine),
    };
    let start_time = match card.start_time.as_deref() {
        None => None,
        Some(written) => Some(clock(written).ok_or_else(|| DayCardError::Value {
            file: file.to_owned(),
            key: "start_time",
            found: format!("\"{written}\""),
            allowed: "a local time such as \"17:30\"",
        })?),
    };
    if let Some(word) = card.encouragement.as_deref()
        && !["none", "scripted", "free"].contains(&word)
    {
        return Err(DayCardError::Value {
            file: file.to_owned(),
            key: "encouragement",
            found: format!("\"{word}\""),
            allowed: "\"none\", \"scripted\" or \"free\"",
        });
    }
    let metres = check(
        "course_length_m",
        card.course_length_m,
        1.0,
        2_000.0,
        "1 to 2 000 m",
    )?;
    let facts = DayFacts {
        name: card.name,
        squad: card.squad,
        venue: card.venue,
        surface: card.surface,
        indoor: card.indoor,
        // In range, so the rounded millimetres fit.
        course_length_mm: metres.map(|m| (m * 1e3).round() as u32),
        start_time,
        temperature_c: check(
            "temperature_c",
            card.temperature_c,
            -60.0,
            70.0,
            "−60 to 70 °C",
        )?,
        humidity_percent: check(
            "humidity_percent",
            card.humidity_percent,
            0.0,
            100.0,
            "0 to 100 %",
        )?,
        wind_m_s: check("wind_m_s", card.wind_m_s, 0.0, 120.0, "0 to 120 m/s")?,
        wind_along_lane_m_s: check(
            "wind_along_lane_m_s",
            card.wind_along_lane_m_s,
            -120.0,
            120.0,
            "−120 to 120 m/s",
        )?,
        wbgt_c: check("wbgt_c", card.wbgt_c, -60.0, 70.0, "−60 to 70 °C")?,
        deviation: card.deviation,
        notes: card.notes,
        ..plain_day(date, test)
    };
    Ok(DayCard {
        facts,
        encouragement: card.encouragement,
    })
}

/// Returns the time written as hours and minutes.
fn clock(written: &str) -> Option<Time> {
    let (hours, minutes) = written.split_once(':')?;
    Time::new(
        hours.trim().parse().ok()?,
        minutes.trim().parse().ok()?,
        0,
        0,
    )
    .ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use plimsoll_ladder::Catalogue;

    fn read(text: &str) -> Result<DayCard, DayCardError> {
        let catalogue = Catalogue::built_in();
        day_card(
            "day.toml",
            text,
            date(2026, 11, 21),
            catalogue.get("ir1").expect("known"),
        )
    }

    #[test]
    fn a_card_gives_the_day_its_facts() {
        let card = read(
            "venue = \"Hall\"\nstart_time = \"17:30\"\ncourse_length_m = 19.86\nindoor = true\n\
             encouragement = \"scripted\"\n",
        )
        .expect("reads");
        assert_eq!(card.facts.course_length_mm, Some(19_860));
        assert_eq!(card.facts.ladder_id.as_deref(), Some("ir1"));
        assert_eq!(
            card.facts.start_time.map(|t| (t.hour(), t.minute())),
            Some((17, 30))
        );
        assert_eq!(card.encouragement.as_deref(), Some("scripted"));
    }

    #[test]
    fn faults_say_where_and_what_is_allowed() {
        assert_eq!(
            read("wind_m_s = -3").expect_err("negative").to_string(),
            "day.toml: `wind_m_s` is -3; allowed is 0 to 120 m/s"
        );
        assert_eq!(
            read("test = \"ir2\"").expect_err("other test").to_string(),
            "day.toml: the card is for the test `ir2` and the sheet is imported as `ir1`; correct \
             one of them"
        );
        let unknown = read("vanue = \"Hall\"")
            .expect_err("unknown key")
            .to_string();
        assert!(
            unknown.contains("line 1, column 1") && unknown.contains("vanue"),
            "{unknown}"
        );
    }
}
