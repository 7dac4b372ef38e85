//! Whether a whole wave is shifted against what each runner's history leads to expect, and what explains it best.
//! Must name no cause that scores cannot separate from another. Formula: docs/methods/squad-questions.md.

use jiff::civil::Date;
use plimsoll_measure::level::{Normal, Outcome, Series};
use plimsoll_measure::squad::{
    Cause, CauseKind, NextMeasurement, Runner, Suspect, Verdict, even_shape, fingerprint,
    learning_shape, training_shape,
};

use super::conditions::ConditionKind;
use super::{DayTerms, SquadLevels};

/// Fewer runners with a history say nothing of a wave. Chosen, no source.
const FEWEST: usize = 6;
/// Prior SD on ln of what a course, a track or learning does, and of a week of training. Chosen, no source.
const EVEN: f64 = 0.06;
const LEARNT: f64 = 0.06;
const TRAINED_A_WEEK: f64 = 0.01;
/// Weight of "nothing" against each cause, and how far ahead the best must be.
const NOTHING: f64 = 8.0;
const AHEAD: f64 = 3.0;

/// What a wave says as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct WaveFinding {
    /// Runners whose result could be predicted.
    pub runners: usize,
    /// Mean of result over prediction minus 1.
    pub shift: f64,
    /// In words; empty when nothing is the matter.
    pub words: String,
}

/// Returns what the results of a date say as a whole; nothing with too few runners of known history.
pub fn wave_finding(levels: &SquadLevels, on: Date) -> Option<WaveFinding> {
    let week = levels.week(on);
    let mut runners = Vec::new();
    let (mut trials, mut weeks, mut days) = (Vec::new(), Vec::new(), Vec::new());
    for read in levels.series.values() {
        let all = read.series.observations();
        let earlier: Vec<_> = all.iter().filter(|o| o.week < week).copied().collect();
        let Some(today) = all.iter().rfind(|o| (o.week - week).abs() < 1e-9) else {
            continue;
        };
        let Some(last) = earlier.last().map(|o| o.week) else {
            continue;
        };
        let (observed, width) = match today.outcome {
            Outcome::Exact(at) => (at, 0.0),
            Outcome::Between { lower, upper } => (f64::midpoint(lower, upper), upper - lower),
            Outcome::AtLeast(_) | Outcome::AtMost(_) => continue,
        };
        let Ok(series) = Series::new(earlier) else {
            continue;
        };
        let day = read.days_on(on);
        let known = Normal::exactly(day.sum().mean);
        let Ok(outlook) = levels
            .ensemble
            .posterior(&series)
            .and_then(|p| p.outlook(week, today.test, today.trial, known))
        else {
            continue;
        };
        let sd = (outlook.sd.powi(2) + width * width / 12.0).sqrt();
        runners.push(Runner {
            predicted: outlook.mean,
            sd,
            observed,
        });
        trials.push(today.trial.unwrap_or(3));
        weeks.push(week - last);
        days.push(day);
    }
    if runners.len() < FEWEST {
        return None;
    }
    let suspects = suspects(&trials, &weeks, &days)?;
    found(&runners, &suspects)
}

/// What may have shifted a wave, with a name for each: what was measured and found right is no suspect.
fn suspects(
    trials: &[u32],
    weeks: &[f64],
    days: &[&DayTerms],
) -> Option<Vec<(Cause, &'static str)>> {
    let n = trials.len();
    let cause = |kind, shape, prior_sd| Cause {
        kind,
        shape,
        prior_sd,
        weight: 1.0,
    };
    let mut out = Vec::new();
    let mut even = |kind, sd, name| out.push((cause(kind, even_shape(n), sd), name));
    if !days.iter().all(|day| day.course_taped) {
        even(
            CauseKind::CourseLength,
            EVEN,
            "The length of the course, which was not taped,",
        );
    }
    if !days.iter().all(|day| day.track_heard) {
        even(CauseKind::PlaybackSpeed, EVEN, "The speed of the track");
    }
    for (condition, kind, name) in [
        (ConditionKind::Wind, CauseKind::Wind, "Wind"),
        (
            ConditionKind::Heat,
            CauseKind::Other,
            "The heat or cold of the day",
        ),
        (
            ConditionKind::Surface,
            CauseKind::Other,
            "The other surface",
        ),
    ] {
        let sds = days.iter().flat_map(|day| &day.conditions);
        let sd = sds
            .filter(|c| c.kind == condition && c.matters())
            .map(|c| c.adds.sd)
            .fold(0.0, f64::max);
        if sd > 0.0 {
            even(kind, sd, name);
        }
    }
    out.push((
        cause(
            CauseKind::Training,
            training_shape(weeks).ok()?,
            TRAINED_A_WEEK,
        ),
        "Training since the last test",
    ));
    let learnt = learning_shape(trials);
    if learnt.iter().any(|x| *x > 0.1) {
        out.push((
            cause(CauseKind::Learning, learnt, LEARNT),
            "Knowing the test better",
        ));
    }
    Some(out)
}

fn found(runners: &[Runner], suspects: &[(Cause, &'static str)]) -> Option<WaveFinding> {
    let n = runners.len();
    let causes: Vec<Cause> = suspects.iter().map(|(cause, _)| cause.clone()).collect();
    let name = |suspect| match suspect {
        Suspect::Nothing => "Chance",
        Suspect::Cause { place, .. } => suspects.get(place).map_or("Something else", |s| s.1),
    };
    let answer = fingerprint(runners, &causes, NOTHING, AHEAD, 0.90).ok()?;
    let weight: f64 = runners.iter().map(|r| r.sd.powi(-2)).sum();
    let gap: f64 = runners
        .iter()
        .map(|r| (r.observed - r.predicted) / r.sd.powi(2))
        .sum();
    let shift = (gap / weight).exp_m1();
    let direction = if shift >= 0.0 { "further" } else { "less far" };
    let seen = format!(
        "The whole wave ran about {:.0} % {direction} than each runner's history leads to expect ({n} runners).",
        100.0 * shift.abs()
    );
    let words = match answer.verdict {
        Verdict::Points(Suspect::Nothing) => String::new(),
        Verdict::Points(suspect @ Suspect::Cause { place, .. }) => {
            let chance = answer.causes.get(place).map_or(0.0, |c| c.probability);
            format!(
                "{seen} {} explains it best ({:.0} %).",
                name(suspect),
                100.0 * chance
            )
        }
        Verdict::CannotSeparate {
            first: Suspect::Nothing,
            ..
        } => String::new(),
        Verdict::CannotSeparate {
            first,
            second,
            next,
            ..
        } => format!(
            "{seen} {} and {} cannot be told apart from the scores: {}.",
            name(first),
            name(second).to_lowercase(),
            advice(next)
        ),
    };
    Some(WaveFinding {
        runners: n,
        shift,
        words,
    })
}

fn advice(next: NextMeasurement) -> &'static str {
    match next {
        NextMeasurement::TapeTheCourse => "tape the course, and check the recording of the sound",
        NextMeasurement::TimeTheSignal => {
            "check the speed of the track against a clock or a recording"
        }
        NextMeasurement::ReadTheWind => "read the wind along the lanes, or repeat across them",
        NextMeasurement::RepeatWithinDays => "repeat the test within days",
        NextMeasurement::TestMoreRunners => "test more runners",
    }
}
