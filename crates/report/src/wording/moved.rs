//! How many of a squad moved, as the heading of a day.
//! Must not judge: the counts come with the data.

use super::in_words;
use crate::model::Tally;

/// Returns the heading of a day: whose it is, how many moved, and since when.
pub fn title_words(who: &str, since: Option<&str>, tally: &Tally) -> String {
    let Some(since) = since else {
        return format!("{who}: first results");
    };
    let moved = match (tally.better, tally.worse) {
        (0, 0) => return format!("{who}: no sure change since {since}"),
        (up, 0) => format!("{} up", in_words(up)),
        (0, down) => format!("{} down", in_words(down)),
        (up, down) => format!("{} up, {} down", in_words(up), in_words(down)),
    };
    format!("{who}: {moved} since {since}")
}
