//! What the days of one person's results did to them, in numbers and in words.
//! Must say of each size whether it comes from a study or from the group.

use jiff::civil::Date;
use serde::Serialize;

use super::conditions::ConditionKind;
use super::{PersonLevel, Read, SquadLevels};

/// What one condition of a day did to a result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayCondition {
    /// The day.
    pub date: Date,
    /// Which condition.
    pub kind: ConditionKind,
    /// What it is thought to have added to the result, %.
    pub percent: f64,
    /// The SD of that, in percent of the result.
    pub sd_percent: f64,
    /// What was seen.
    pub seen: String,
    /// Where the size comes from.
    pub source: &'static str,
}

/// Returns what is worth a word.
pub(super) fn conditions(read: &Read) -> Vec<DayCondition> {
    let days = read.seen.iter().zip(&read.days);
    days.flat_map(|((date, _, _), day)| {
        let told = day.conditions.iter().filter(|c| c.matters());
        told.map(|c| DayCondition {
            date: *date,
            kind: c.kind,
            percent: 100.0 * c.adds.mean.exp_m1(),
            sd_percent: 100.0 * c.adds.sd,
            seen: c.seen.clone(),
            source: c.source,
        })
    })
    .collect()
}

impl SquadLevels {
    /// Returns a sentence for each day of a person that had conditions of its own, then the sources.
    pub fn told(&self, level: &PersonLevel) -> Vec<String> {
        let mut dates: Vec<Date> = level.conditions.iter().map(|c| c.date).collect();
        dates.dedup();
        let mut out: Vec<String> = dates.iter().map(|date| self.of_day(level, *date)).collect();
        let mut sources: Vec<&str> = level.conditions.iter().map(|c| c.source).collect();
        sources.sort_unstable();
        sources.dedup();
        if !sources.is_empty() {
            out.push(format!(
                "Where the sizes come from: {}.",
                sources.join("; ")
            ));
        }
        out
    }

    /// Returns what a day did to everybody's results, in a sentence; nothing when it was a usual one.
    pub fn day_words(&self, on: Date) -> Option<String> {
        let runners = self.series.values().map(|read| read.days_on(on));
        let days: Vec<_> = runners.filter(|day| !day.conditions.is_empty()).collect();
        let mut seen: Vec<&str> = Vec::new();
        for condition in days.iter().flat_map(|day| &day.conditions) {
            if condition.matters() && !seen.contains(&condition.seen.as_str()) {
                seen.push(&condition.seen);
            }
        }
        if seen.is_empty() {
            return None;
        }
        let mut sums: Vec<_> = days.iter().map(|day| day.sum()).collect();
        sums.sort_by(|a, b| a.mean.total_cmp(&b.mean));
        let middle = sums.get(sums.len() / 2)?;
        let learnt = self.learnt().find(|(date, _)| *date == on);
        let (mean, sd, told) = learnt.map_or_else(
            || (middle.mean, middle.sd, "as studies and the ladder have it"),
            |(_, found)| {
                let mean = middle.mean + found.beyond.mean;
                (
                    mean,
                    found.beyond.sd,
                    "with what the group's other days say",
                )
            },
        );
        Some(format!(
            "Levels allow for {}: thought to be worth {} of a result, {told}. No result is changed.",
            seen.join(", "),
            about(100.0 * mean.exp_m1(), 100.0 * sd)
        ))
    }

    fn of_day(&self, level: &PersonLevel, date: Date) -> String {
        let day: Vec<&DayCondition> = level.conditions.iter().filter(|c| c.date == date).collect();
        let parts: Vec<String> = day
            .iter()
            .map(|c| format!("{} ({})", c.seen, about(c.percent, c.sd_percent)))
            .collect();
        let learnt = self.learnt().find(|(on, _)| *on == date);
        let group = learnt.map_or_else(String::new, |(_, found)| {
            let before: f64 = day.iter().map(|c| (c.percent / 100.0).ln_1p()).sum();
            let after = 100.0 * (before + found.beyond.mean).exp_m1();
            format!(
                "; with the other results of {} people {} in all",
                found.people,
                about(after, 100.0 * found.beyond.sd)
            )
        });
        format!(
            "{}: {}{group}.",
            date.strftime("%-d %b %Y"),
            parts.join(", ")
        )
    }
}

/// Returns a share with its SD, in percent of the result.
fn about(percent: f64, sd: f64) -> String {
    let rounded = percent.round();
    let sign = match rounded {
        p if p < 0.0 => "\u{2212}",
        p if p > 0.0 => "+",
        _ => "",
    };
    format!("{sign}{:.0} ± {sd:.0} %", rounded.abs())
}
