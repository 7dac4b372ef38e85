//! Reads a number as people write it: decimal point or comma, thousands marks, a sign at the end.
//! Ambiguity between a decimal and a thousands mark is settled by the caller's expectation.

/// Returns the number and what is left of the text behind it.
///
/// `thousands` says that `1,240` and `1.240` mean one thousand two hundred and forty.
pub(crate) fn parse_number(text: &str, thousands: bool) -> Option<(f64, &str)> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|(i, c)| {
            !(c.is_ascii_digit()
                || matches!(c, '.' | ',' | '\'' | '\u{a0}' | '\u{202f}')
                || (*c == ' ' && is_group_gap(text, *i))
                || (*i == 0 && matches!(c, '+' | '-' | '\u{2212}')))
        })
        .map_or(text.len(), |(i, _)| i);
    let (number, rest) = text.split_at(end);
    let (sign, digits) = match number.strip_prefix(['-', '\u{2212}']) {
        Some(digits) => (-1.0, digits),
        None => (1.0, number.strip_prefix('+').unwrap_or(number)),
    };
    if !digits.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')) {
        return None;
    }
    let plain: String = digits
        .chars()
        .filter(|c| !matches!(c, '\'' | ' ' | '\u{a0}' | '\u{202f}'))
        .collect();
    let plain = plain.trim_end_matches(['.', ',']);
    let normal = normalise(plain, thousands)?;
    let value: f64 = normal.parse().ok()?;
    value.is_finite().then_some((sign * value, rest.trim()))
}

/// Returns whether the space at `i` groups thousands: a digit before, exactly three after.
fn is_group_gap(text: &str, i: usize) -> bool {
    let before = text
        .get(..i)
        .and_then(|t| t.chars().last())
        .is_some_and(|c| c.is_ascii_digit());
    let after = text.get(i + 1..).unwrap_or_default();
    let digits = after.chars().take_while(char::is_ascii_digit).count();
    before && digits == 3
}

/// Returns the digits with a point for the decimal mark and no other mark.
fn normalise(plain: &str, thousands: bool) -> Option<String> {
    let points = plain.matches('.').count();
    let commas = plain.matches(',').count();
    let three_after = |mark: char| {
        plain.split(mark).skip(1).all(|part| part.len() == 3)
            && plain
                .split(mark)
                .next()
                .is_some_and(|first| (1..=3).contains(&first.len()))
    };
    match (points, commas) {
        (0, 0) => Some(plain.to_owned()),
        (1, 0) if thousands && three_after('.') => Some(plain.replace('.', "")),
        (0, 1) if thousands && three_after(',') => Some(plain.replace(',', "")),
        (1, 0) => Some(plain.to_owned()),
        (0, 1) => Some(plain.replace(',', ".")),
        (0, _) if three_after(',') => Some(plain.replace(',', "")),
        (_, 0) if three_after('.') => Some(plain.replace('.', "")),
        // Both: the last one is the decimal mark.
        (_, _) if points > 0 && commas > 0 => {
            let last_point = plain.rfind('.')?;
            let last_comma = plain.rfind(',')?;
            Some(if last_point > last_comma {
                plain.replace(',', "")
            } else {
                plain.replace('.', "").replace(',', ".")
            })
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn numbers_as_people_write_them() {
        let value = |t: &str, k: bool| parse_number(t, k).map(|(v, _)| v);
        assert_eq!(value("14,5", false), Some(14.5));
        assert_eq!(value("1,240", true), Some(1240.0));
        assert_eq!(value("1,240", false), Some(1.24));
        assert_eq!(value("1.240,5", false), Some(1240.5));
        assert_eq!(value("1 240", false), Some(1240.0));
        assert_eq!(value("-3", false), Some(-3.0));
        assert_eq!(value("level 3", false), None);
        assert_eq!(value("1.2.3", false), None);
        assert_eq!(parse_number("560 m", false), Some((560.0, "m")));
        assert_eq!(parse_number("560m", false), Some((560.0, "m")));
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,12}", thousands: bool) {
            if let Some((value, _)) = parse_number(&text, thousands) {
                prop_assert!(value.is_finite());
            }
        }
    }
}
