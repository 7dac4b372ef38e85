//! How alike two folded names are: order of words, initials, short forms, added or changed surnames.
//! Returns the kind of likeness, not a number; what each kind is worth is in `score`.

use strsim::osa_distance;

/// How two names are alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Likeness {
    /// Not alike.
    Different,
    /// Same family name, another given name: relatives, or another person.
    SameFamily,
    /// Same given name, another family name: perhaps a changed name.
    SameGiven,
    /// Same family name, and one given name is the initial of the other.
    Initial,
    /// Same family name, and one given name begins the other, or is left out of several.
    ShortForm,
    /// A family name added or dropped, given name the same or a short form.
    AddedFamily,
    /// One typing error or nearly the same spelling throughout.
    Misspelt,
    /// The same words in another order.
    Reordered,
    /// The same.
    Same,
}

impl Likeness {
    /// Returns the likeness in words.
    pub const fn in_words(self) -> &'static str {
        match self {
            Self::Different => "different names",
            Self::SameFamily => "same family name",
            Self::SameGiven => "same given name, another family name",
            Self::Initial => "same family name and initial",
            Self::ShortForm => "same family name, short form of the given name",
            Self::AddedFamily => "a family name added or dropped",
            Self::Misspelt => "nearly the same spelling",
            Self::Reordered => "same words in another order",
            Self::Same => "same name",
        }
    }
}

/// Compares two folded names.
///
/// Numbers and single letters tell people apart (`runner 7`, `runner 8`; `pupil a`, `pupil b`), so a
/// difference in them is never a slip of the pen.
pub(crate) fn compare(a: &str, b: &str) -> Likeness {
    if a == b {
        return Likeness::Same;
    }
    let words_a: Vec<&str> = a.split(' ').collect();
    let words_b: Vec<&str> = b.split(' ').collect();
    let sorted = |words: &[&str]| {
        let mut words: Vec<String> = words.iter().map(|w| (*w).to_owned()).collect();
        words.sort();
        words
    };
    if sorted(&words_a) == sorted(&words_b) {
        return Likeness::Reordered;
    }
    let numbers = |words: &[&str]| {
        let with: Vec<&str> = words.iter().copied().filter(|w| has_digit(w)).collect();
        sorted(&with)
    };
    if numbers(&words_a) != numbers(&words_b) {
        return Likeness::Different;
    }
    if a.replace(' ', "") == b.replace(' ', "") || all_close(&words_a, &words_b) {
        return Likeness::Misspelt;
    }
    let (Some((given_a, rest_a)), Some((given_b, rest_b))) =
        (words_a.split_first(), words_b.split_first())
    else {
        return Likeness::Different;
    };
    if rest_a.is_empty() || rest_b.is_empty() {
        return Likeness::Different;
    }
    let same_given = given_a == given_b;
    let short_given = starts(given_a, given_b) || starts(given_b, given_a);
    let initial = given_a.len() == 1 || given_b.len() == 1;
    let same_last = rest_a.last() == rest_b.last() && rest_a.last().is_some_and(|w| w.len() > 1);
    if rest_a == rest_b || (same_last && (same_given || short_given)) {
        return match (same_given, short_given, initial) {
            (true, ..) => Likeness::ShortForm,
            (_, true, true) => Likeness::Initial,
            (_, true, false) => Likeness::ShortForm,
            _ if same_last => Likeness::SameFamily,
            _ => Likeness::Different,
        };
    }
    let shares_family = rest_a.iter().any(|w| w.len() > 2 && rest_b.contains(w));
    if shares_family && (same_given || (short_given && !initial)) {
        return Likeness::AddedFamily;
    }
    let named = |words: &[&str]| words.iter().any(|w| w.len() > 1 && !has_digit(w));
    if same_given && named(rest_a) && named(rest_b) {
        return Likeness::SameGiven;
    }
    if shares_family {
        Likeness::SameFamily
    } else {
        Likeness::Different
    }
}

/// One begins the other: `jo`, `joanna`; `j`, `jo`.
fn starts(short: &str, long: &str) -> bool {
    short.len() < long.len() && long.starts_with(short) && !has_digit(short) && !has_digit(long)
}

/// The same number of words, each equal or one keystroke away, at most two of them different.
fn all_close(a: &[&str], b: &[&str]) -> bool {
    if a.len() != b.len() {
        return false;
    }
    let different: Vec<(&&str, &&str)> = a.iter().zip(b).filter(|(x, y)| x != y).collect();
    different.len() <= 2 && different.iter().all(|(x, y)| close(x, y))
}

/// One keystroke in a word of five letters or more, two in ten or more; never in a number.
fn close(a: &str, b: &str) -> bool {
    let (n, m) = (a.chars().count(), b.chars().count());
    let allowed = match n.min(m) {
        0..=4 => return false,
        5..=9 => 1,
        _ => 2,
    };
    !has_digit(a) && !has_digit(b) && n.abs_diff(m) <= allowed && osa_distance(a, b) <= allowed
}

fn has_digit(word: &str) -> bool {
    word.chars().any(|c| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_of_likeness() {
        for (a, b, kind) in [
            ("zoe example", "zoe example", Likeness::Same),
            ("example zoe", "zoe example", Likeness::Reordered),
            ("jo smith", "joanna smith lee", Likeness::AddedFamily),
            ("jo smith", "joanna smith", Likeness::ShortForm),
            ("j smith", "joanna smith", Likeness::Initial),
            ("marta kowalska", "marta kowalske", Likeness::Misspelt),
            ("anna berg", "anna lindqvist", Likeness::SameGiven),
            ("anna berg", "maria berg", Likeness::SameFamily),
            ("anna berg", "tom okafor", Likeness::Different),
            ("lou gorse", "lou gores", Likeness::Misspelt),
            ("ana van den berg", "ana vandenberg", Likeness::Misspelt),
            ("runner 17", "runner 18", Likeness::Different),
            ("player a1", "player a2", Likeness::Different),
            ("pupil a", "pupil b", Likeness::Different),
            ("p007", "p070", Likeness::Different),
        ] {
            assert_eq!(compare(a, b), kind, "{a} / {b}");
            assert_eq!(compare(b, a), kind, "{b} / {a}");
        }
    }
}
