//! Numbers and dates as a reader sees them: true minus, narrow spaces, units, fixed decimals.
//! Must not round twice or drop a decimal: 10.0 stays 10.0.

use jiff::civil::Date;

/// A space that is narrow and never breaks, between digits and before a unit.
const NARROW: char = '\u{202F}';
/// The typographic minus sign.
const MINUS: char = '\u{2212}';
/// What stands where a number is missing.
pub const MISSING: &str = "–";

/// Returns how many decimals a unit is shown with: whole metres, counts and centiles, else one.
pub fn decimals(unit: &str) -> usize {
    match unit {
        "m" | "bouts" | "shuttles" | "laps" | "b/min" => 0,
        _ => 1,
    }
}

/// Returns `value` with `decimals` places, grouped by threes, with a true minus sign.
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return MISSING.to_owned();
    }
    let plain = format!("{:.decimals$}", value.abs());
    let (whole, fraction) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut out = String::with_capacity(plain.len() + 8);
    if value < 0.0 && plain.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        out.push(MINUS);
    }
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            out.push(NARROW);
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push('.');
        out.push_str(fraction);
    }
    out
}

/// Returns `value` as [`number`] does, with a plus sign when it is above zero.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    let positive = value > 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b));
    if positive { format!("+{text}") } else { text }
}

/// Returns a number with its unit, in the unit's decimals.
pub fn amount(value: f64, unit: &str) -> String {
    with_unit(number(value, decimals(unit)), unit)
}

/// Returns a signed number with its unit, in the unit's decimals.
pub fn signed_amount(value: f64, unit: &str) -> String {
    with_unit(signed(value, decimals(unit)), unit)
}

/// Returns "low to high unit" without signs, in the unit's decimals.
pub fn range(low: f64, high: f64, unit: &str) -> String {
    format!("{} to {}", number(low, decimals(unit)), amount(high, unit))
}

/// Returns "low to high unit" with signs; a missing end is named.
pub fn signed_range(low: Option<f64>, high: Option<f64>, unit: &str) -> String {
    let end = |v: Option<f64>| {
        v.filter(|v| v.is_finite())
            .map(|v| signed(v, decimals(unit)))
    };
    match (end(low), end(high)) {
        (Some(low), Some(high)) => format!("{low} to {}", with_unit(high, unit)),
        (Some(low), None) => format!("{} or more", with_unit(low, unit)),
        (None, Some(high)) => format!("{} or less", with_unit(high, unit)),
        (None, None) => "no interval".to_owned(),
    }
}

/// Returns a probability between 0 and 1 as whole percent; the ends read "<1 %" and ">99 %".
pub fn percent(probability: f64) -> String {
    if !probability.is_finite() {
        return MISSING.to_owned();
    }
    let hundredths = (probability * 100.0).round();
    let text = if probability > 0.0 && hundredths < 1.0 {
        "<1".to_owned()
    } else if probability < 1.0 && hundredths > 99.0 {
        ">99".to_owned()
    } else {
        number(hundredths, 0)
    };
    with_unit(text, "%")
}

/// Returns a date as "5 Nov 2026".
pub fn date(day: Date) -> String {
    format!("{} {} {}", day.day(), month(day), day.year())
}

/// Returns a date as "Nov 2026".
pub fn month_year(day: Date) -> String {
    format!("{} {}", month(day), day.year())
}

/// Returns `n` and the word in the right number: "1 athlete", "3 athletes".
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Returns `text` followed by a narrow space and the unit, or `text` alone without a unit.
pub fn with_unit(text: String, unit: &str) -> String {
    if unit.is_empty() || text == MISSING {
        text
    } else {
        format!("{text}{NARROW}{unit}")
    }
}

fn month(day: Date) -> &'static str {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    usize::try_from(day.month() - 1).map_or("", |i| MONTHS[i])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_their_decimals_and_get_a_true_minus() {
        assert_eq!(number(10.0, 1), "10.0");
        assert_eq!(number(1840.0, 0), "1\u{202F}840");
        assert_eq!(number(-1234.5, 1), "\u{2212}1\u{202F}234.5");
        assert_eq!(number(-0.4, 0), "0");
        assert_eq!(number(123_456_789.0, 0), "123\u{202F}456\u{202F}789");
        assert_eq!(number(f64::NAN, 0), "–");
    }

    #[test]
    fn signs_and_units() {
        assert_eq!(signed_amount(300.0, "m"), "+300\u{202F}m");
        assert_eq!(signed_amount(-20.4, "m"), "\u{2212}20\u{202F}m");
        assert_eq!(signed_amount(0.2, "m"), "0\u{202F}m");
        assert_eq!(amount(14.0, "km/h"), "14.0\u{202F}km/h");
        assert_eq!(
            signed_range(Some(-110.0), Some(270.0), "m"),
            "\u{2212}110 to +270\u{202F}m"
        );
        assert_eq!(signed_range(Some(40.0), None, "m"), "+40\u{202F}m or more");
        assert_eq!(signed_range(None, None, "m"), "no interval");
    }

    #[test]
    fn percents_never_claim_certainty() {
        assert_eq!(percent(0.822), "82\u{202F}%");
        assert_eq!(percent(0.0001), "<1\u{202F}%");
        assert_eq!(percent(0.9999), ">99\u{202F}%");
        assert_eq!(percent(0.0), "0\u{202F}%");
    }

    #[test]
    fn dates_are_written_out() {
        let day = jiff::civil::date(2026, 9, 12);
        assert_eq!(date(day), "12 Sep 2026");
        assert_eq!(month_year(day), "Sep 2026");
    }
}
