//! Numbers and counts in the words of plans.
//! Must not sound surer than the numbers are.

use plimsoll_measure::planning::Count;

/// Numbers that are written out.
const WRITTEN: [&str; 13] = [
    "nobody", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve",
];

/// Returns "two of 24 are likely out …" with the range that holds eight times in ten.
///
/// `plural` and `singular` are what happens: "out in the first two minutes".
pub fn count_words(count: &Count, what: &str) -> String {
    let n = count.chances.len().saturating_sub(1);
    let (low, high) = (count.quantile(0.1), count.quantile(0.9));
    let middle = count.quantile(0.5);
    let range = if high == 0 {
        let percent = 100.0 * count.any();
        if percent < 0.5 {
            String::new()
        } else {
            format!(" (chance that anybody is: {percent:.0} %)")
        }
    } else if low == high {
        String::new()
    } else {
        format!(" (8 times in 10: {low} to {high})")
    };
    match middle {
        0 if n == 1 => format!("the runner is not likely {what}{range}"),
        0 => format!("nobody of {n} is likely {what}{range}"),
        k if k == n && n == 1 => format!("the runner is likely {what}{range}"),
        k if k == n => format!("all {n} are likely {what}{range}"),
        1 => format!("one of {n} is likely {what}{range}"),
        k => {
            let word = WRITTEN
                .get(k)
                .map_or_else(|| k.to_string(), |w| (*w).to_owned());
            format!("{word} of {n} are likely {what}{range}")
        }
    }
}

/// Returns a time as minutes and seconds.
pub fn minutes(seconds: f64) -> String {
    let whole = seconds.max(0.0).round() as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// Returns a number with at most so many decimals and no zeros at the end.
pub fn digits(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
