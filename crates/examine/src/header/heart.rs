//! What a heart-rate column holds: at rest, at the end, so many seconds after it, or one of a series.
//! Read from the header alone.

use super::fold::fold_header;

/// When a heart rate was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeartRole {
    /// Before the run.
    Rest,
    /// The highest, or at the stop.
    End,
    /// So many seconds after the stop.
    After(u32),
    /// One of a series, by number.
    Series(u32),
    /// Not said.
    Unsaid,
}

impl HeartRole {
    /// Reads the role from a header such as `HR 60 s`, `HR max` or `hr_3`.
    pub(crate) fn of_header(header: &str) -> Self {
        let folded = fold_header(header);
        // `HRmax` is one word.
        let bare = |w: &str| {
            let w = w.strip_prefix("hr").filter(|r| !r.is_empty()).unwrap_or(w);
            w.strip_suffix("hr")
                .filter(|r| !r.is_empty())
                .unwrap_or(w)
                .to_owned()
        };
        let has = |words: &[&str]| folded.split(' ').any(|w| words.contains(&bare(w).as_str()));
        let digits: String = folded
            .chars()
            .skip_while(|c| !c.is_ascii_digit())
            .take_while(char::is_ascii_digit)
            .collect();
        let number: Option<u32> = digits.parse().ok();
        let after = has(&["after", "recovery", "rec", "post", "sec", "s", "plus"])
            || header.contains('+')
            || folded.ends_with(&format!("{digits}s"));
        match number {
            Some(n) if after && n >= 10 => Self::After(n),
            Some(n) if after && has(&["min", "minute", "minutes"]) => {
                Self::After(n.saturating_mul(60))
            }
            Some(n) if matches!(n, 30 | 60 | 90 | 120 | 180) => Self::After(n),
            Some(n) => Self::Series(n),
            None if has(&["rest", "resting", "before", "start"]) => Self::Rest,
            None if has(&["max", "peak", "end", "final", "stop", "maximum", "highest"]) => {
                Self::End
            }
            None => Self::Unsaid,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roles() {
        assert_eq!(HeartRole::of_header("HR max"), HeartRole::End);
        assert_eq!(HeartRole::of_header("HRmax"), HeartRole::End);
        assert_eq!(HeartRole::of_header("HR +60 s"), HeartRole::After(60));
        assert_eq!(HeartRole::of_header("hr_120"), HeartRole::After(120));
        assert_eq!(HeartRole::of_header("hr_3"), HeartRole::Series(3));
        assert_eq!(HeartRole::of_header("Resting HR"), HeartRole::Rest);
        assert_eq!(HeartRole::of_header("HR"), HeartRole::Unsaid);
    }
}
