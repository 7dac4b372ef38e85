//! Reads written decimals into whole numbers, exactly: "8.5" with 6 places is 8 500 000.

/// Returns `text` times ten to the power `places`, when that is a whole number in range.
pub(crate) fn scaled(text: &str, places: usize) -> Option<u64> {
    let clean: String = text.chars().filter(|c| *c != '_').collect();
    let clean = clean.strip_prefix('+').unwrap_or(&clean);
    let (whole, fraction) = clean.split_once('.').unwrap_or((clean, ""));
    if whole.is_empty() || !whole.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    if !fraction.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let kept = fraction.trim_end_matches('0');
    if kept.len() > places {
        return None;
    }
    format!("{whole}{kept:0<places$}").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::scaled;

    #[test]
    fn decimals_are_read_exactly() {
        assert_eq!(scaled("8.5", 6), Some(8_500_000));
        assert_eq!(scaled("106.25", 3), Some(106_250));
        assert_eq!(scaled("20", 3), Some(20_000));
        assert_eq!(scaled("0.0504", 6), Some(50_400));
        assert_eq!(scaled("0.700", 3), Some(700));
    }

    #[test]
    fn what_is_too_fine_or_not_a_number_is_refused() {
        for bad in [
            "-1",
            "1e3",
            "nan",
            "inf",
            "",
            ".5",
            "1.2345",
            "1.2.3",
            "99999999999999999999",
        ] {
            assert_eq!(scaled(bad, 3), None, "{bad}");
        }
    }
}
