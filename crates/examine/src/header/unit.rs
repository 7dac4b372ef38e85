//! The unit a header gives: the part in brackets, or the last word.
//! Nothing is guessed from the values; that is the business of the unit fault.

use super::fold::fold;

/// A unit written in a header or beside a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Metres.
    Metres,
    /// Kilometres.
    Kilometres,
    /// Miles.
    Miles,
    /// Yards.
    Yards,
    /// Seconds.
    Seconds,
    /// Minutes, with a decimal fraction.
    Minutes,
    /// Minutes and seconds, `m:ss`.
    MinutesSeconds,
    /// Kilometres an hour.
    KmPerHour,
    /// Metres a second.
    MetresPerSecond,
    /// Miles an hour.
    MilesPerHour,
    /// Shuttles, laps or bouts: a count.
    Count,
}

impl Unit {
    /// Returns the unit that a piece of text names.
    pub fn parse(text: &str) -> Option<Self> {
        let lower = text.trim().trim_end_matches('.').to_lowercase();
        Some(match lower.as_str() {
            "m" | "metre" | "metres" | "meter" | "meters" | "mtr" | "mtrs" | "metros" | "metri" => {
                Self::Metres
            }
            "km" | "kilometre" | "kilometres" | "kilometer" | "kilometers" => Self::Kilometres,
            "mi" | "mile" | "miles" => Self::Miles,
            "yd" | "yds" | "yard" | "yards" => Self::Yards,
            "s" | "sec" | "secs" | "second" | "seconds" | "sek" => Self::Seconds,
            "min" | "mins" | "minute" | "minutes" => Self::Minutes,
            "m:s" | "m:ss" | "mm:ss" | "min:s" | "min:sec" | "min:ss" | "h:mm:ss" | "hh:mm:ss" => {
                Self::MinutesSeconds
            }
            "km/h" | "kmh" | "kph" | "km h" | "km.h-1" | "km·h-1" | "km·h⁻¹" => {
                Self::KmPerHour
            }
            "m/s" | "ms" | "m s" | "m.s-1" | "m·s-1" | "m·s⁻¹" => Self::MetresPerSecond,
            "mph" | "mi/h" => Self::MilesPerHour,
            "shuttles" | "laps" | "bouts" | "lengths" | "count" | "n" => Self::Count,
            _ => return None,
        })
    }

    /// Returns the unit in a header and the header without it.
    pub(crate) fn of_header(header: &str) -> (Option<Self>, String) {
        for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
            if let Some((before, rest)) = header.split_once(open) {
                let (inside, after) = rest.split_once(close).unwrap_or((rest, ""));
                return (
                    Self::parse(inside),
                    format!(
                        "{before} {inside_kept} {after}",
                        inside_kept = if Self::parse(inside).is_some() {
                            ""
                        } else {
                            inside
                        }
                    ),
                );
            }
        }
        let parts: Vec<&str> = header
            .split(|c: char| c.is_whitespace() || matches!(c, '_' | ',' | ';'))
            .collect();
        if let [rest @ .., last] = parts.as_slice()
            && !rest.is_empty()
            && !fold(&rest.join(" ")).is_empty()
            // `m` after a word is a unit; `m` in `m f` or `laps` after `total` is not.
            && !matches!(Self::parse(last), None | Some(Self::Count))
            && !(rest.len() == 1 && rest.first().is_some_and(|r| r.len() <= 1))
        {
            return (Self::parse(last), rest.join(" "));
        }
        (Self::parse(header), header.to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_in_headers() {
        let of = |h: &str| Unit::of_header(h).0;
        assert_eq!(of("Distance (m)"), Some(Unit::Metres));
        assert_eq!(of("distance_m"), Some(Unit::Metres));
        assert_eq!(of("Time [min:s]"), Some(Unit::MinutesSeconds));
        assert_eq!(of("final speed km/h"), Some(Unit::KmPerHour));
        assert_eq!(of("Sex (M/F)"), None);
        assert_eq!(of("M F"), None);
        assert_eq!(of("name"), None);
        assert_eq!(of("km/h"), Some(Unit::KmPerHour));
    }
}
