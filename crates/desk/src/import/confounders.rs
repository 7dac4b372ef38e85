//! The confounders a sheet may hold beside a result, out of the words of its cells.
//! A cell that cannot be read stays in the row as written and is not guessed at.

use plimsoll_archive::{Covariates, Encouragement, Familiarity, Illness, ResultFacts, Word};
use plimsoll_examine::ResultRow;

/// Fills in what the row says beside its result.
pub(super) fn fill(facts: &mut ResultFacts, row: &ResultRow) {
    for (field, written) in &row.covariates {
        let number = || number(written);
        let c: &mut Covariates = &mut facts.covariates;
        match field.as_str() {
            "sleep" => c.sleep_h = number().filter(|h| (0.0..=24.0).contains(h)),
            "meal" => c.hours_since_meal = number().filter(|h| (0.0..=48.0).contains(h)),
            "caffeine" => caffeine(c, written),
            "shoes" => c.footwear = Some(written.trim().to_owned()),
            "motivation" => c.motivation = whole(number()).filter(|m| (1..=10).contains(m)),
            "illness" => c.illness = illness(written),
            "familiarity" => c.familiarity = familiarity(written),
            "encouragement" => c.encouragement = encouragement(written),
            "body_mass" => facts.mass_kg = number().filter(|kg| (10.0..=300.0).contains(kg)),
            "heart_rate_end" | "heart_rate" => {
                facts.peak_hr_bpm = whole(number()).filter(|b| (30..=250).contains(b));
            }
            "heart_rate_after_60_s" => {
                facts.hr_60s_bpm = whole(number()).filter(|b| (30..=250).contains(b));
            }
            "heart_rate_after_120_s" => {
                facts.hr_120s_bpm = whole(number()).filter(|b| (30..=250).contains(b));
            }
            _ => {}
        }
    }
}

/// Returns the first number of a cell, decimal point or comma.
fn number(written: &str) -> Option<f64> {
    let digits: String = written
        .trim()
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .map(|c| if c == ',' { '.' } else { c })
        .collect();
    digits.parse().ok()
}

/// Returns a number that is whole.
fn whole(number: Option<f64>) -> Option<u32> {
    number
        .filter(|n| n.fract() == 0.0 && (0.0..1e6).contains(n))
        .map(|n| n as u32)
}

fn yes(written: &str) -> Option<bool> {
    match written.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Some(true),
        "no" | "n" | "false" | "0" | "none" | "-" => Some(false),
        _ => None,
    }
}

fn caffeine(c: &mut Covariates, written: &str) {
    match (yes(written), number(written)) {
        (Some(taken), _) => c.caffeine = Some(taken),
        (None, Some(mg)) if (0.0..=2_000.0).contains(&mg) => {
            c.caffeine = Some(mg > 0.0);
            c.caffeine_mg = Some(mg);
        }
        _ => {}
    }
}

fn illness(written: &str) -> Option<Illness> {
    Illness::from_word(written.trim()).or(match yes(written)? {
        true => Some(Illness::Present),
        false => Some(Illness::None),
    })
}

fn familiarity(written: &str) -> Option<Familiarity> {
    Familiarity::from_word(written.trim()).or(match yes(written)? {
        true => Some(Familiarity::Familiar),
        false => Some(Familiarity::FirstTime),
    })
}

fn encouragement(written: &str) -> Option<Encouragement> {
    Encouragement::from_word(&written.trim().to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_read_as_people_write_them() {
        assert_eq!(number("7,5 h"), Some(7.5));
        assert_eq!(number("about 8"), None);
        assert_eq!(yes(" Y "), Some(true));
        assert_eq!(yes("maybe"), None);
        let mut c = Covariates::default();
        caffeine(&mut c, "120 mg");
        assert_eq!((c.caffeine, c.caffeine_mg), (Some(true), Some(120.0)));
        caffeine(&mut c, "no");
        assert_eq!(c.caffeine, Some(false));
        assert_eq!(illness("yes"), Some(Illness::Present));
        assert_eq!(illness("migraine"), None);
        assert_eq!(familiarity("no"), Some(Familiarity::FirstTime));
    }
}
