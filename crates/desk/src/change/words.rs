//! The sentences about growth, the same in the terminal, on pages and in reports.

use plimsoll_report::format::{date, number, signed_amount, signed_range};

use super::growth::{BeyondGrowth, DRIFT_OF_Z, GrowthAnswer, GrowthSince};

/// What must stand beside every number beyond growth.
pub const NOT_TRAINING: &str =
    "What is left may be training, an early or late growth spurt, or chance.";

fn left(way: &BeyondGrowth, unit: &str) -> String {
    format!(
        "{} is left, {} (90 %): {}",
        signed_amount(way.beyond, unit),
        signed_range(Some(way.low90), Some(way.high90), unit),
        way.verdict
    )
}

fn since_words(since: &GrowthSince) -> String {
    match since.since {
        Some(on) => format!("since {}", date(on)),
        None => format!(
            "from {} to {} years",
            number(since.age_from, 1),
            number(since.age_to, 1)
        ),
    }
}

impl GrowthAnswer {
    /// Returns the answer against an earlier test in one sentence.
    pub fn line(&self) -> String {
        let Some(since) = self.headline() else {
            return String::new();
        };
        let [median, own] = &since.ways;
        let (a, b) = (
            signed_amount(median.expected, &self.unit),
            signed_amount(own.expected, &self.unit),
        );
        if median.verdict == own.verdict && a == b {
            return format!(
                "Of {} {}, growth alone is expected to give {a}; {}. {NOT_TRAINING}",
                signed_amount(since.seen, &self.unit),
                since_words(since),
                left(own, &self.unit)
            );
        }
        format!(
            "Of {} {}, growth alone is expected to give {a} (as the reference median) or {b} (keeping the own \
             place, z {}). By the median {}; by the own place {}. {NOT_TRAINING}",
            signed_amount(since.seen, &self.unit),
            since_words(since),
            number(since.z_from, 2),
            left(median, &self.unit),
            left(own, &self.unit)
        )
    }

    /// Returns the same in one short line for a report.
    pub fn short_line(&self) -> String {
        let Some(since) = self.headline() else {
            return String::new();
        };
        let own = &since.ways[1];
        format!(
            "{}, growth alone would give {}; {}",
            since_words(since),
            signed_amount(own.expected, &self.unit),
            left(own, &self.unit),
        )
    }

    /// Returns where the numbers come from, in words.
    pub fn basis(&self) -> String {
        let drift = self.headline().map_or(0.0, |s| s.drift_of_z);
        format!(
            "Reference: {}; {} people; {}; {} ({}). Children change places: the SD of the change of z is \
             taken as {} over that time, {} for one year and with the root of time (chosen, no source). The error of the reference itself \
             is not known here and not in the interval",
            self.reference,
            self.n.map_or("an unknown number of".to_owned(), |n| number(
                f64::from(n),
                0
            )),
            self.how,
            self.source,
            self.confidence,
            number(drift, 2),
            number(DRIFT_OF_Z, 1),
        )
    }

    /// Returns the answers against all earlier tests as rows of a table: since, seen, expected, left, 90 %, verdict.
    pub fn rows(&self) -> Vec<[String; 6]> {
        let row = |since: &GrowthSince, way: &BeyondGrowth| {
            [
                since.since.map_or_else(|| number(since.age_from, 1), date),
                signed_amount(since.seen, &self.unit),
                format!(
                    "{} ({})",
                    signed_amount(way.expected, &self.unit),
                    if way.way == "median" {
                        "median"
                    } else {
                        "own place"
                    }
                ),
                signed_amount(way.beyond, &self.unit),
                signed_range(Some(way.low90), Some(way.high90), &self.unit),
                way.verdict.clone(),
            ]
        };
        self.since
            .iter()
            .flat_map(|s| s.ways.iter().map(move |w| row(s, w)))
            .collect()
    }
}
