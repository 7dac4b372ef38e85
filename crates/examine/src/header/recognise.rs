//! Scores which fields a header could mean, from its words alone.
//! 1 is the exact phrase; less for a phrase inside a longer header, least for a misspelt one.

use super::field::Field;
use super::fold::fold_header;
use super::unit::Unit;
use super::words::WORDS;

/// Words too short or too common to count inside a longer header.
const ONLY_ALONE: [&str; 30] = [
    "no", "nr", "id", "code", "day", "data", "table", "form", "grade", "clock", "value", "status",
    "ground", "heat", "session", "m f", "f m", "nom", "class", "roll", "norm", "norms", "turns",
    "runs", "effort", "try", "test", "previous", "baseline", "lag",
];

/// A misspelt word must be at least this similar (edit distance over length).
const SIMILAR: f64 = 0.84;

/// A field a header could mean, with a score from 0 to 1.
pub(crate) type Candidate = (Field, f64);

/// What a header says on its own.
#[derive(Debug, Clone)]
pub(crate) struct Heard {
    /// Candidates, best first; one for each field at most.
    pub candidates: Vec<Candidate>,
    /// The unit it gives.
    pub unit: Option<Unit>,
}

/// Returns what a header could mean.
pub(crate) fn recognise(header: &str) -> Heard {
    let (unit, base) = Unit::of_header(header);
    let folded = fold_header(&base);
    let folded = folded.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ');
    let mut candidates: Vec<Candidate> = Vec::new();
    if !folded.is_empty() {
        for (field, phrases) in WORDS {
            let best = phrases
                .iter()
                .map(|phrase| score(folded, phrase))
                .fold(0.0, f64::max);
            if best > 0.0 {
                candidates.push((*field, best));
            }
        }
    }
    if candidates.is_empty()
        && let Some(field) = field_of_unit(unit)
    {
        candidates.push((field, 0.8));
    }
    candidates.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    Heard { candidates, unit }
}

fn score(header: &str, phrase: &str) -> f64 {
    if header == phrase {
        return 1.0;
    }
    let words = phrase.split(' ').count();
    if !ONLY_ALONE.contains(&phrase) && contains_words(header, phrase) {
        // A longer phrase inside the header says more.
        return (0.7 + 0.06 * words as f64).min(0.95);
    }
    // Words whose lengths differ by more than the allowed share cannot be similar enough.
    let (short, long) = (
        phrase.len().min(header.len()),
        phrase.len().max(header.len()),
    );
    if phrase.len() >= 5 && header.len() >= 4 && short as f64 >= SIMILAR * long as f64 {
        let similar = strsim::normalized_damerau_levenshtein(header, phrase);
        if similar >= SIMILAR {
            return 0.65 * similar;
        }
    }
    0.0
}

fn contains_words(header: &str, phrase: &str) -> bool {
    let header: Vec<&str> = header.split(' ').collect();
    let phrase: Vec<&str> = phrase.split(' ').collect();
    header.windows(phrase.len()).any(|window| window == phrase)
}

const fn field_of_unit(unit: Option<Unit>) -> Option<Field> {
    match unit {
        Some(Unit::Metres | Unit::Kilometres | Unit::Miles | Unit::Yards) => Some(Field::Distance),
        Some(Unit::KmPerHour | Unit::MetresPerSecond | Unit::MilesPerHour) => Some(Field::Speed),
        Some(Unit::MinutesSeconds | Unit::Minutes | Unit::Seconds) => Some(Field::Time),
        Some(Unit::Count) | None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn best(header: &str) -> Option<Field> {
        recognise(header).candidates.first().map(|c| c.0)
    }

    #[test]
    fn headers_in_several_languages() {
        for (header, field) in [
            ("Player name", Field::Name),
            ("Élève", Field::Name),
            ("Geburtsdatum", Field::BirthDate),
            ("Fecha de nacimiento", Field::BirthDate),
            ("DOB", Field::BirthDate),
            ("Level reached", Field::Label),
            ("Distance (m)", Field::Distance),
            ("distance_m", Field::Distance),
            ("Total distance covered (m)", Field::Distance),
            ("FinalSpeed", Field::Speed),
            ("km/h", Field::Speed),
            ("Stop reason", Field::Reason),
            ("Trial no.", Field::Attempt),
            ("HR max", Field::HeartRate),
            ("previous distance (m)", Field::PreviousDistance),
            ("Test date", Field::Date),
            ("Squad", Field::Squad),
            ("distnace", Field::Distance),
        ] {
            assert_eq!(best(header), Some(field), "{header}");
        }
        assert_eq!(best("favourite colour"), None);
    }
}
