//! Peak heart rates of the day against each person's best of earlier full runs of the test.
//! A reason to ask, never a finding about a person or their health. Formula: `measure::squad::low_peak`.

use plimsoll_measure::squad::{Strength, low_peak};
use plimsoll_report::format::{count, percent};
use serde::Serialize;

use super::Part;
use super::effort::word;
use super::gather::Squad;

/// SD of a person's peak between all-out tests, beats a minute. Working assumption, no source.
const PEAK_SD: f64 = 4.0;

/// One person's peak.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Peak {
    /// The name called.
    pub name: String,
    /// Peak of the day, beats a minute.
    pub peak: u32,
    /// Best of earlier tests, beats a minute.
    pub best: u32,
    /// Earlier tests with a peak.
    pub earlier: u32,
    /// Peak expected when the runner goes all out, beats a minute.
    pub expected: f64,
    /// Chance of a peak as low or lower.
    pub chance: f64,
    /// `none`, `weak` or `strong`.
    pub strength: &'static str,
}

/// Everybody with a peak of the day and an earlier one.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Peaks {
    /// Lowest chance first.
    pub people: Vec<Peak>,
    /// How many of them chance alone would show below 5 %.
    pub expected_by_chance: f64,
}

const SETTLE: &str = "Ask about the strap, the readings, a cold, heat, tiredness, and whether the runner gave all; \
    anyone unwell goes to the medic, not to another test.";
const BASIS: &str = "peaks of the day and of earlier full runs of the same test";

pub(super) fn answer(squad: &Squad<'_>) -> Part<Peaks> {
    let with_peak = squad.runners.iter().filter(|r| r.peak.is_some()).count();
    let mut people = Vec::new();
    for runner in &squad.runners {
        let (Some(peak), Some((best, earlier))) = (runner.peak, runner.earlier_peaks) else {
            continue;
        };
        let Ok(low) = low_peak(f64::from(peak), f64::from(best), earlier, PEAK_SD) else {
            continue;
        };
        people.push((
            low.strength,
            Peak {
                name: runner.name.clone(),
                peak,
                best,
                earlier,
                expected: low.expected,
                chance: low.chance,
                strength: word(low.strength),
            },
        ));
    }
    if people.is_empty() {
        let why = if with_peak == 0 {
            "No peak heart rate of a full run is recorded on this day; nothing can be said."
                .to_owned()
        } else {
            format!(
                "{} of the day cannot be compared: nobody has a peak of an earlier full run of this test.",
                count(with_peak, "peak", "peaks")
            )
        };
        let settle = "Read the heart rate of everybody within ten seconds of the stop, at every test: the day's \
                      reading or a column `HRmax` of the sheet.";
        return Part::refused(why, BASIS, settle);
    }
    people.sort_by(|a, b| a.1.chance.total_cmp(&b.1.chance));
    let by_chance = 0.05 * people.len() as f64;
    let hints: Vec<String> = people
        .iter()
        .filter(|(strength, _)| *strength != Strength::None)
        .map(|(_, p)| {
            format!(
                "{} {} beats a minute where about {:.0} were expected (chance {}, {} hint)",
                p.name,
                p.peak,
                p.expected,
                percent(p.chance),
                p.strength
            )
        })
        .collect();
    let mut says = vec![if hints.is_empty() {
        format!(
            "None of {} lies below what chance explains.",
            count(people.len(), "peak", "peaks")
        )
    } else {
        format!(
            "Below what is usual for them, of {} compared: {}.",
            people.len(),
            hints.join("; ")
        )
    }];
    if !hints.is_empty() {
        says.push(format!(
            "Chance alone would show {by_chance:.1} of {} so. A reason to ask, not a finding about anyone.",
            people.len()
        ));
    }
    Part {
        answer: Some(Peaks {
            people: people.into_iter().map(|(_, p)| p).collect(),
            expected_by_chance: by_chance,
        }),
        says,
        basis: format!(
            "Peak of the day against the best of earlier full runs of the same test, which as the best of several \
             lies above the usual; a person's peak differs by {PEAK_SD:.0} beats a minute (SD) between all-out tests \
             (working assumption, no source). Weak below 5 %, strong below 0.5 % (common practice, no source)."
        ),
        settle: SETTLE.to_owned(),
    }
}
