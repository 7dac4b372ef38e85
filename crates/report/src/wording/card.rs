//! What one athlete reads on the card, in plain words.
//! Must not mention anybody else and must not use a label such as "unfit".

use super::sentence;
use crate::format::{amount, count, signed_amount};
use crate::model::{AthleteLine, Bound, ChangeLine, Quantity};

/// Returns today's result in one or two sentences.
pub fn result_sentence(line: &AthleteLine, quantity: &Quantity) -> String {
    let Some(value) = line.value else {
        return "There is no result for you from this day.".to_owned();
    };
    let result = amount(value, &quantity.unit);
    let mut details = Vec::new();
    if let Some(bouts) = line.bouts {
        details.push(count(bouts as usize, "completed bout", "completed bouts"));
    }
    if !line.label.is_empty() {
        details.push(format!("label\u{A0}{}", line.label));
    }
    if let Some(speed) = line.final_speed_kmh {
        details.push(format!("final speed {}", amount(speed, "km/h")));
    }
    let details = if details.is_empty() {
        String::new()
    } else {
        format!(": {}", details.join(", "))
    };
    let mut text = if line.lower_bound {
        format!(
            "The run was cut short, so your result is known only as at least {result}{details}."
        )
    } else {
        format!("Your result is {result}{details}.")
    };
    if line.ceiling {
        text.push_str(" You reached the end of the test: it had nothing more to ask.");
    }
    if !line.reason.is_empty() {
        text.push(' ');
        text.push_str(&sentence(&format!("Why the run ended: {}", line.reason)));
    }
    text
}

/// Returns the difference and what it is set against, without a full stop.
pub fn change_words(change: &ChangeLine) -> String {
    let difference = signed_amount(change.difference, &change.unit);
    let difference = match change.bound {
        Bound::Exact => difference,
        Bound::AtLeast => format!("at least {difference}"),
        Bound::AtMost => format!("at most {difference}"),
    };
    format!("{difference} against your {}", change.against_label)
}

/// Returns where the true change lies, or nothing when no interval is known.
pub fn interval_sentence(change: &ChangeLine) -> Option<String> {
    match (change.low90, change.high90, change.bound) {
        (Some(low), Some(high), Bound::Exact) => Some(format!(
            "Allowing for chance, the true change lies between {} and {} (90\u{202F}% interval).",
            signed_amount(low, &change.unit),
            signed_amount(high, &change.unit)
        )),
        _ => None,
    }
}

/// Returns the three probabilities as cases out of a hundred that add up to a hundred.
///
/// Nothing for a bound: the chances of an exact difference do not hold for "at least".
pub fn chances_sentence(change: &ChangeLine) -> Option<String> {
    if change.bound != Bound::Exact {
        return None;
    }
    let all = [change.p_up?, change.p_trivial?, change.p_down?];
    let [up, same, down] = out_of_100(all)?;
    Some(format!(
        "Out of 100 such cases about {up} would be truly better, {same} about the same, \
         {down} truly worse."
    ))
}

/// Shares out a hundred by largest remainder; nothing when the parts do not add up to one.
fn out_of_100(parts: [f64; 3]) -> Option<[u32; 3]> {
    let total: f64 = parts.iter().sum();
    if !parts.iter().all(|p| (0.0..=1.0).contains(p)) || (total - 1.0).abs() > 0.01 {
        return None;
    }
    let scaled = parts.map(|p| p / total * 100.0);
    let mut whole = scaled.map(f64::floor);
    let mut order = [0, 1, 2];
    order.sort_by(|&a, &b| (scaled[b] - whole[b]).total_cmp(&(scaled[a] - whole[a])));
    let left = 100.0 - whole.iter().sum::<f64>();
    for (rank, &i) in order.iter().enumerate() {
        if (rank as f64) < left - 0.5 {
            whole[i] += 1.0;
        }
    }
    Some(whole.map(|w| w as u32))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hundredths_always_add_up() {
        for parts in [[0.335, 0.335, 0.33], [0.005, 0.99, 0.005], [1.0, 0.0, 0.0]] {
            assert_eq!(out_of_100(parts).map(|p| p.iter().sum::<u32>()), Some(100));
        }
        assert_eq!(out_of_100([0.9, 0.9, 0.0]), None);
    }

    #[test]
    fn a_cut_short_run_says_at_least_and_shows_no_interval() {
        let line = AthleteLine {
            value: Some(440.0),
            label: "13.4".to_owned(),
            lower_bound: true,
            ..AthleteLine::default()
        };
        let text = result_sentence(&line, &Quantity::default());
        assert_eq!(
            text,
            "The run was cut short, so your result is known only as at least 440\u{202F}m: \
             label\u{A0}13.4."
        );
        let change = ChangeLine {
            difference: 40.0,
            unit: "m".to_owned(),
            low90: Some(-10.0),
            high90: Some(90.0),
            bound: Bound::AtLeast,
            against_label: "last test, 12 Sep 2026".to_owned(),
            ..ChangeLine::default()
        };
        assert_eq!(interval_sentence(&change), None);
        assert_eq!(
            change_words(&change),
            "at least +40\u{202F}m against your last test, 12 Sep 2026"
        );
    }
}
