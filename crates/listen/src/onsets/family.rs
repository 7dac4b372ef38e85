//! Pips of one kind: a track uses one to three sounds, noise uses none twice.
//! Does not decide which family paces.

use crate::onsets::Onset;

/// Pips of nearly one frequency and length.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Median frequency, hertz.
    pub frequency_hz: f64,
    /// Median length, seconds.
    pub length_s: f64,
    /// Its pips by time.
    pub onsets: Vec<Onset>,
}

/// Largest difference of a frequency from its family's, as a part.
const FREQUENCY: f64 = 0.02;
/// Largest ratio of two lengths, beside [`LENGTH_SLACK`].
const LENGTH: f64 = 1.5;
/// Difference of lengths that is always allowed, seconds.
const LENGTH_SLACK: f64 = 0.03;
/// Onsets that begin a family at most; the rest joins or is left out.
const MOST: usize = 256;

/// Groups pips by frequency (2 %) and length, the largest total strength first.
pub fn families(onsets: &[Onset]) -> Vec<Family> {
    let mut order: Vec<&Onset> = onsets.iter().collect();
    order.sort_by(|x, y| y.strength_db.total_cmp(&x.strength_db));
    let mut families: Vec<Family> = Vec::new();
    for onset in order {
        let like = families.iter_mut().find(|f| {
            let ratio = (onset.length_s / f.length_s).max(f.length_s / onset.length_s);
            (onset.frequency_hz / f.frequency_hz - 1.0).abs() <= FREQUENCY
                && (ratio <= LENGTH || (onset.length_s - f.length_s).abs() <= LENGTH_SLACK)
        });
        if let Some(family) = like {
            family.onsets.push(*onset);
        } else if families.len() < MOST {
            families.push(Family {
                frequency_hz: onset.frequency_hz,
                length_s: onset.length_s,
                onsets: vec![*onset],
            });
        }
    }
    for family in &mut families {
        family.onsets.sort_by(|x, y| x.time_s.total_cmp(&y.time_s));
        let middle = family.onsets.len() / 2;
        let mut values: Vec<f64> = family.onsets.iter().map(|o| o.frequency_hz).collect();
        values.sort_unstable_by(f64::total_cmp);
        family.frequency_hz = values[middle];
        values = family.onsets.iter().map(|o| o.length_s).collect();
        values.sort_unstable_by(f64::total_cmp);
        family.length_s = values[middle];
    }
    let weight = |f: &Family| f.onsets.iter().map(|o| o.strength_db).sum::<f64>();
    families.sort_by(|x, y| weight(y).total_cmp(&weight(x)));
    families
}
