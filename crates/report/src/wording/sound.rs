//! The facts of a recording as pairs of a name and words, for page and workbook alike.
//! Must not judge: which test was expected and what it means come with the data.

use super::capital;
use crate::format::{MISSING, number, signed, with_unit};
use crate::model::{SoundRecording, SoundSpan};

/// The name of the fact that another test was heard than the day's.
pub const SOUND_DEVIATION: &str = "Deviation";
/// Most stretches of one kind that are listed; the rest is counted.
const LISTED: usize = 12;

/// Returns what is known of a recording, in the order in which a reader asks.
pub fn sound_facts(one: &SoundRecording) -> Vec<(&'static str, String)> {
    let mut facts = vec![
        ("What was recorded", capital(&one.kind)),
        ("Test heard", one.heard.clone()),
        (SOUND_DEVIATION, one.deviation.clone()),
        ("Length", one.duration_s.map(clock).unwrap_or_default()),
        ("Cues confirmed", cues(one)),
        (
            "Largest interval error",
            size(one.worst_interval_ms, "ms", 1),
        ),
        (
            "Scatter of the cues (median)",
            size(one.residual_ms, "ms", 1),
        ),
        ("Playback speed", speed(one)),
        (
            "Lowest level above background",
            size(one.worst_level_db, "dB", 0),
        ),
        ("Where playback broke", spans(&one.gaps, "nowhere")),
        ("Overdriven", spans(&one.overdriven, "nowhere")),
    ];
    if one.damaged > 0 {
        facts.push(("Damaged packets skipped", number(one.damaged as f64, 0)));
    }
    facts.push(("SHA-256 of the file", one.file_sha256.clone()));
    facts.retain(|(_, text)| !text.trim().is_empty());
    facts
}

/// Returns seconds as minutes and seconds, "12:05"; minutes go on past 59.
pub fn clock(seconds: f64) -> String {
    if !seconds.is_finite() {
        return MISSING.to_owned();
    }
    let whole = seconds.abs().round();
    let sign = if seconds < 0.0 && whole > 0.0 {
        "\u{2212}"
    } else {
        ""
    };
    format!(
        "{sign}{:02.0}:{:02.0}",
        (whole / 60.0).floor(),
        whole % 60.0
    )
}

fn cues(one: &SoundRecording) -> String {
    let count = |n: u32| number(f64::from(n), 0);
    format!(
        "{} of {}",
        count(one.cues_confirmed),
        count(one.cues_expected)
    )
}

fn size(value: Option<f64>, unit: &str, decimals: usize) -> String {
    value.map_or_else(
        || "not known".to_owned(),
        |v| with_unit(number(v, decimals), unit),
    )
}

fn speed(one: &SoundRecording) -> String {
    let Some(ppm) = one.speed_error_ppm else {
        return "not known".to_owned();
    };
    let mut text = format!(
        "{} ({})",
        with_unit(signed(ppm, 0), "ppm"),
        with_unit(signed(ppm / 1e4, 4), "%")
    );
    if let (Some(low), Some(high)) = (one.speed_low_ppm, one.speed_high_ppm) {
        text.push_str(&format!(
            ", 95\u{202F}% interval {} to {}",
            signed(low, 0),
            with_unit(signed(high, 0), "ppm")
        ));
    }
    text + "; the recorder’s clock is taken as true"
}

fn spans(spans: &[SoundSpan], none: &str) -> String {
    if spans.is_empty() {
        return none.to_owned();
    }
    let mut words: Vec<String> = spans.iter().take(LISTED).map(|s| s.words.clone()).collect();
    if spans.len() > LISTED {
        words.push(format!("and {} more", spans.len() - LISTED));
    }
    words.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_minutes_and_seconds() {
        for (seconds, text) in [
            (0.0, "00:00"),
            (59.6, "01:00"),
            (725.4, "12:05"),
            (3_725.0, "62:05"),
            (-0.2, "00:00"),
            (-61.0, "\u{2212}01:01"),
            (f64::NAN, "–"),
        ] {
            assert_eq!(clock(seconds), text, "{seconds}");
        }
    }

    #[test]
    fn many_gaps_are_counted_and_nothing_known_is_said() {
        let gap = |n: u32| SoundSpan {
            words: format!("gap {n}"),
            ..SoundSpan::default()
        };
        let one = SoundRecording {
            gaps: (1..=14).map(gap).collect(),
            ..SoundRecording::default()
        };
        let facts = sound_facts(&one);
        let of = |name: &str| {
            let found = facts.iter().find(|(fact, _)| *fact == name);
            found.map(|(_, text)| text.as_str())
        };
        let gaps = of("Where playback broke").expect("there");
        assert!(gaps.ends_with("gap 12; and 2 more"), "{gaps}");
        assert_eq!(of("Playback speed"), Some("not known"));
        assert_eq!(of("Deviation"), None);
        assert_eq!(of("Cues confirmed"), Some("0 of 0"));
    }
}
