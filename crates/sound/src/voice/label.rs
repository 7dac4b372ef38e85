//! Reads a label such as "14" or "17.5" into the keys of the clips that say it.

/// Returns the clips that say `label`: digits, with at most one decimal after a point or a comma.
pub(super) fn read(label: &str) -> Option<Vec<String>> {
    match label.split_once(['.', ',']) {
        None => Some(vec![whole(label)?]),
        Some((before, after)) => {
            let decimal = (after.len() == 1).then(|| whole(after)).flatten()?;
            Some(vec![whole(before)?, "point".to_owned(), decimal])
        }
    }
}

/// Returns a whole number without sign or leading zeros.
fn whole(digits: &str) -> Option<String> {
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let number: u32 = digits.parse().ok()?;
    Some(number.to_string())
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn labels_with_at_most_one_decimal_are_read() {
        let keys = |label| read(label).map(|keys| keys.join(" "));
        assert_eq!(keys("14").as_deref(), Some("14"));
        assert_eq!(keys("07").as_deref(), Some("7"));
        assert_eq!(keys("0").as_deref(), Some("0"));
        assert_eq!(keys("17.5").as_deref(), Some("17 point 5"));
        assert_eq!(keys("17,0").as_deref(), Some("17 point 0"));
        for odd in [
            "",
            ".",
            "5.",
            ".5",
            "17.25",
            "1.2.3",
            "-1",
            "+1",
            "a",
            "１４",
            "99999999999",
            "3 ",
        ] {
            assert_eq!(keys(odd), None, "{odd:?}");
        }
    }
}
