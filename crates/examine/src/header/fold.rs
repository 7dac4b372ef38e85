//! Folds names and headers so that case, accents, punctuation and spacing do not matter.
//! Only for comparing: what is shown and stored is always the text as written.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Returns lower-case words without accents, one space apart.
///
/// Letters of other scripts stay. `ß`, `æ`, `ø`, `ł`, `đ`, `þ` and `ı`, which do not come apart into
/// a letter and an accent, are spelled out.
pub(crate) fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut gap = false;
    for c in text.nfkd().filter(|c| !is_combining_mark(*c)) {
        if c == '\'' || c == '\u{2019}' {
            continue;
        }
        if !c.is_alphanumeric() {
            gap = true;
            continue;
        }
        if gap && !out.is_empty() {
            out.push(' ');
        }
        gap = false;
        for lower in c.to_lowercase() {
            match lower {
                'ß' => out.push_str("ss"),
                'æ' => out.push_str("ae"),
                'œ' => out.push_str("oe"),
                'ø' => out.push('o'),
                'ł' => out.push('l'),
                'đ' | 'ð' => out.push('d'),
                'þ' => out.push_str("th"),
                'ı' => out.push('i'),
                other if is_combining_mark(other) => {}
                other => out.push(other),
            }
        }
    }
    out
}

/// Returns a header with `CamelCase` and `snake_case` taken apart, then folded.
pub(crate) fn fold_header(text: &str) -> String {
    let mut spaced = String::with_capacity(text.len() + 8);
    let mut before = ' ';
    for c in text.chars() {
        if c.is_uppercase() && before.is_lowercase() {
            spaced.push(' ');
        }
        spaced.push(c);
        before = c;
    }
    fold(&spaced)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_case_and_marks_do_not_matter() {
        assert_eq!(fold("  Zoë  O’NEILL-Strauß "), "zoe oneill strauss");
        assert_eq!(fold("Søren Łukasz"), "soren lukasz");
        assert_eq!(fold_header("FinalLevel_reached"), "final level reached");
    }
}
