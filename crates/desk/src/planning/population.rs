//! A group known only by its population: a reference row with mean and SD, as ln of distance.
//! Takes no mean without an SD and no centile for one; the SD holds the error of the test too.

use plimsoll_interpret::data::{ReferenceRow, Statistic};
use plimsoll_interpret::{Catalogue as Facts, Confidence, Sex, Unit};
use plimsoll_ladder::Test;
use plimsoll_measure::planning::{Rungs, Runner};
use serde::Serialize;

use super::ladder::{distance_of, distance_of_level};

/// A population asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PopulationAsked {
    /// Sex.
    pub sex: Sex,
    /// Age, years.
    pub age: f64,
    /// Sport or standard, free words; decides between rows.
    pub standard: Option<String>,
    /// How many will run.
    pub runners: u32,
}

/// The reference used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PopulationUsed {
    /// Its title.
    pub title: String,
    /// Group within it.
    pub group: String,
    /// Mean as printed, in `unit`.
    pub mean: f64,
    /// SD as printed or worked out, in `unit`.
    pub sd: f64,
    /// Unit.
    pub unit: String,
    /// People measured, if known.
    pub n: Option<u32>,
    /// Where in the source.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
    /// Words asked for that its description lacks.
    pub not_matched: Vec<String>,
}

/// Returns one runner of the population on a test, with the reference used, or why there is none.
pub fn of_population(
    facts: &Facts,
    test: &Test,
    rungs: &Rungs,
    asked: &PopulationAsked,
    from_memory: bool,
) -> Result<(Runner, PopulationUsed), String> {
    let (mut best, mut without_sd, mut hidden) = (None, 0, 0);
    for population in &facts.populations {
        for row in population.rows.iter().filter(|r| r.test == test.id()) {
            let holds = row.sex.holds(asked.sex) && row.age.is_stated() && row.age.holds(asked.age);
            let Statistic::Mean { mean, sd, .. } = row.statistic else {
                continue;
            };
            if !holds {
                continue;
            }
            if row.confidence == Confidence::FromMemory && !from_memory {
                hidden += 1;
                continue;
            }
            let Some(sd) = sd else {
                without_sd += 1;
                continue;
            };
            let Some(runner) = runner(test, rungs, row, mean, sd) else {
                continue;
            };
            let words = words_of(row, asked);
            let points = (words.iter().filter(|w| w.1).count(), row.n.unwrap_or(0));
            let better = best.as_ref().is_none_or(|(known, _, _)| points > *known);
            if better {
                best = Some((
                    points,
                    runner,
                    used(row, &population.provenance.title, (mean, sd), words),
                ));
            }
        }
    }
    if let Some((_, runner, used)) = best {
        return Ok((runner, used));
    }
    let mut why = "no reference with mean and SD is known for it at this sex and age".to_owned();
    if without_sd > 0 {
        why.push_str(&format!("; {without_sd} have a mean without an SD"));
    }
    if hidden > 0 {
        why.push_str(&format!("; {hidden} are from memory and hidden"));
    }
    Err(why)
}

fn used(
    row: &ReferenceRow,
    title: &str,
    (mean, sd): (f64, f64),
    words: Vec<(String, bool)>,
) -> PopulationUsed {
    let parts = [
        row.sport.as_str(),
        row.standard.as_str(),
        row.age.printed.as_str(),
    ];
    let parts: Vec<&str> = parts.into_iter().filter(|p| !p.is_empty()).collect();
    PopulationUsed {
        title: title.to_owned(),
        group: parts.join(", "),
        mean,
        sd,
        unit: row.unit.clone(),
        n: row.n,
        source: row.source.clone(),
        confidence: row.confidence,
        not_matched: words.into_iter().filter(|w| !w.1).map(|w| w.0).collect(),
    }
}

/// The words asked for, with whether the row's sport and standard hold them.
fn words_of(row: &ReferenceRow, asked: &PopulationAsked) -> Vec<(String, bool)> {
    let text = format!("{} {}", row.sport, row.standard).to_lowercase();
    let wanted = asked.standard.as_deref().unwrap_or("").to_lowercase();
    wanted
        .split(|c: char| !c.is_alphanumeric() && c != '-')
        .filter(|word| word.len() > 2)
        .map(|word| (word.to_owned(), text.contains(word)))
        .collect()
}

/// Distances by moments of the log-normal; other scores by the distances one SD on either side.
fn runner(test: &Test, rungs: &Rungs, row: &ReferenceRow, mean: f64, sd: f64) -> Option<Runner> {
    if !(mean > 0.0 && sd > 0.0) {
        return None;
    }
    let of = |value: f64| match row.metric.as_str() {
        "distance_m" => distance_of(test, Unit::Metres, value),
        "shuttles" => distance_of(test, Unit::Shuttles, value),
        "final_speed_kmh" => distance_of(test, Unit::KmPerHour, value),
        "level_decimal" => distance_of_level(test, value),
        _ => None,
    };
    let (ln_mean, ln_sd) = if matches!(row.metric.as_str(), "distance_m" | "shuttles") {
        let middle = of(mean)?;
        let variance = (1.0 + (sd / mean).powi(2)).ln();
        (middle.ln() - variance / 2.0, variance.sqrt())
    } else {
        let (low, middle, high) = (of(mean - sd)?, of(mean)?, of(mean + sd)?);
        (middle.ln(), (high / low).ln() / 2.0)
    };
    // Scores are rounded down to whole bouts: half a bout more could be run on the average.
    let done = rungs.bouts_at(ln_mean.exp());
    let half = (rungs.distance(done + 1) - rungs.distance(done)) / 2.0;
    Runner::new((ln_mean.exp() + half).ln(), ln_sd).ok()
}
