//! Adds up the evidence that two entries are one person, as natural log odds, and gives the reasons.
//! Each weight is about the logarithm of how much likelier the likeness is for one person than for two.
//! Common practice, no source, except birth dates: a year group shares a day once in about 365.

use jiff::civil::Date;

use super::names::{Likeness, compare};
use crate::cell::Sex;
use crate::readings::swap;

/// What is compared.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Entry<'a> {
    /// Folded name.
    pub name: &'a str,
    /// Date of birth.
    pub birth: Option<Date>,
    /// Folded squad.
    pub squad: Option<&'a str>,
    /// Sex.
    pub sex: Option<Sex>,
}

/// A suggestion that two entries may be one person.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Suggestion {
    /// Probability that they are.
    pub probability: f64,
    /// Why, in words.
    pub reasons: Vec<String>,
}

/// Compares two entries among `others` people with whom either could be confused.
pub(crate) fn score(a: &Entry<'_>, b: &Entry<'_>, others: usize) -> Suggestion {
    let likeness = compare(a.name, b.name);
    let mut reasons = vec![likeness.in_words().to_owned()];
    let mut odds = match likeness {
        // Two people share a whole name about once in 5 000 pairs, a misspelt one about as often; a
        // person entered twice is misspelt in one case of five, shortened in one of ten.
        Likeness::Same => 8.5,
        Likeness::Reordered => 8.0,
        Likeness::Misspelt => 7.0,
        Likeness::AddedFamily => 5.5,
        Likeness::ShortForm => 5.5,
        Likeness::Initial => 4.5,
        Likeness::SameGiven => 1.0,
        Likeness::SameFamily => -3.0,
        Likeness::Different => -8.0,
    };
    if let (Some(x), Some(y)) = (a.birth, b.birth) {
        let (weight, reason) = births(x, y);
        odds += weight;
        reasons.push(reason.to_owned());
    }
    if let (Some(x), Some(y)) = (a.squad, b.squad) {
        if x == y {
            odds += 1.0;
            reasons.push("same squad".to_owned());
        } else {
            odds -= 0.7;
            reasons.push("another squad".to_owned());
        }
    }
    if let (Some(x), Some(y)) = (a.sex, b.sex)
        && x != y
        && x != Sex::Other
        && y != Sex::Other
    {
        odds -= 4.0;
        reasons.push("another sex".to_owned());
    }
    // Before looking: one pair in twenty times as many people as there are is a duplicate.
    let prior = -((others.max(1) as f64) * 20.0).ln();
    let log_odds = odds + prior;
    Suggestion {
        probability: 1.0 / (1.0 + (-log_odds).exp()),
        reasons,
    }
}

/// The weight of birth dates that have nothing to do with each other. With it no likeness of names
/// reaches an even chance, so such pairs need not be compared.
const OTHER_BIRTHS: f64 = -7.0;

fn births(a: Date, b: Date) -> (f64, &'static str) {
    if a == b {
        // 1 in 365 within a year group.
        return (5.9, "same date of birth");
    }
    if swap(a) == Some(b) {
        return (5.0, "dates of birth with day and month the other way round");
    }
    let (x, y) = (digits(a), digits(b));
    let different = x.iter().zip(&y).filter(|(p, q)| p != q).count();
    let exchanged = different == 2
        && x.windows(2).zip(y.windows(2)).any(|(p, q)| match (p, q) {
            ([a, b], [c, d]) => a != b && a == d && b == c,
            _ => false,
        });
    if different == 1 || exchanged {
        return (2.5, "dates of birth that differ by one digit");
    }
    (OTHER_BIRTHS, "other dates of birth")
}

/// Returns whether two birth dates rule out that a pair is suggested.
pub(super) fn births_exclude(a: Option<Date>, b: Option<Date>) -> bool {
    matches!((a, b), (Some(a), Some(b)) if births(a, b).0 <= OTHER_BIRTHS)
}

/// The eight digits of a date, year first.
fn digits(d: Date) -> [u8; 8] {
    let year = d.year().unsigned_abs();
    let (month, day) = (d.month().unsigned_abs(), d.day().unsigned_abs());
    let of_year = |by: u16| (year / by % 10) as u8;
    [
        of_year(1000),
        of_year(100),
        of_year(10),
        of_year(1),
        month / 10,
        month % 10,
        day / 10,
        day % 10,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry<'a>(name: &'a str, birth: &str) -> Entry<'a> {
        Entry {
            name,
            birth: birth.parse().ok(),
            squad: Some("u14"),
            sex: None,
        }
    }

    #[test]
    fn one_person_twice_and_two_people() {
        let p = |a: &Entry<'_>, b: &Entry<'_>| score(a, b, 24).probability;
        let jo = entry("jo smith", "2012-03-04");
        assert!(p(&jo, &entry("joanna smith lee", "2012-03-04")) > 0.9);
        assert!(p(&jo, &entry("jo smith", "2012-04-03")) > 0.9);
        assert!(p(&jo, &entry("jo smith", "2011-11-20")) < 0.2);
        // Twins: same family, same day.
        assert!(p(&jo, &entry("tim smith", "2012-03-04")) < 0.5);
        assert!(p(&jo, &entry("ada okafor", "2012-03-04")) < 0.05);
    }
}
