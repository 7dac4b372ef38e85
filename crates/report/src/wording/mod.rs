//! Sentences built from numbers: the lead paragraph, and one athlete's words on the card.
//! Must not judge: verdicts come with the data, this only puts them into plain sentences.

mod card;
mod lead;
mod moved;
mod sound;

pub use card::{chances_sentence, change_words, interval_sentence, result_sentence};
pub use lead::lead_paragraph;
pub use moved::title_words;
pub use sound::{SOUND_DEVIATION, clock, sound_facts};

/// Returns small whole numbers as words, larger ones as digits.
pub(crate) fn in_words(n: usize) -> String {
    const WORDS: [&str; 13] = [
        "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
        "eleven", "twelve",
    ];
    WORDS
        .get(n)
        .map_or_else(|| n.to_string(), |word| (*word).to_owned())
}

/// Returns the text with its first letter as a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

/// Returns the text with one full stop at its end, or nothing for an empty text.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', '…']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}
