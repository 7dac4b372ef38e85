//! The study with the scale it is read on, the error to use and the change that can be detected.
//! Own error alone from ten pairs on; below that weighed against the published default.

use plimsoll_interpret::Catalogue as Facts;
use plimsoll_measure::error::{MeanChange, TypicalError};
use plimsoll_measure::study::{
    Advice, Analysis, Blend, Detectable, Limits, PairResult, Study, blend, detectable, study,
};
use plimsoll_measure::{Interval, MeasureError};

use super::error::StudyError;
use super::published::{PublishedError, published_error};
use super::sheet::StudyTable;

/// The scale a study is read on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnScale {
    /// The values as they are.
    Raw,
    /// Natural logs: errors in percent.
    Logs,
}

/// What is asked of a study.
#[derive(Debug, Clone, Copy, Default)]
pub struct Ask<'a> {
    /// Level of all intervals, a fraction such as 0.90.
    pub level: f64,
    /// The scale, when the caller chooses it.
    pub scale: Option<OnScale>,
    /// Id of the test, when it is one of the catalogue.
    pub test: Option<&'a str>,
    /// Age of the people, years, for the published default.
    pub age: Option<f64>,
}

/// A study and what follows from it.
#[derive(Debug, Clone)]
pub struct StudyAnswer {
    /// The values.
    pub table: StudyTable,
    /// Id of the test, if one was named.
    pub test: Option<String>,
    /// Everything on both scales.
    pub study: Study,
    /// The scale the answer is on.
    pub scale: OnScale,
    /// Why this scale.
    pub scale_why: String,
    /// Mean of all values, in their unit.
    pub mean: f64,
    /// Pairs the own error is worth: its degrees of freedom and one.
    pub pairs: usize,
    /// The published default, on the same scale.
    pub published: Option<PublishedError>,
    /// The error to use, or why there is none.
    pub blend: Result<Blend, MeasureError>,
    /// Interval of the error to use.
    pub blend_interval: Result<Interval, MeasureError>,
    /// What change that error can detect: 80, 90 and 95 %.
    pub detectable: Result<[Detectable; 3], MeasureError>,
}

impl StudyAnswer {
    /// Returns the analysis on the scale of the answer.
    pub fn analysis(&self) -> &Analysis {
        match (self.scale, &self.study.logs) {
            (OnScale::Logs, Ok(logs)) => logs,
            _ => &self.study.raw,
        }
    }

    /// Returns whether the answer is in percent.
    pub fn in_percent(&self) -> bool {
        self.scale == OnScale::Logs
    }
}

/// Works a table out.
///
/// # Errors
///
/// [`StudyError`] when there are fewer than two people or trials, a level outside 0 to 1, or logs
/// are asked for and a value is not above 0.
pub fn answer(facts: &Facts, table: StudyTable, ask: &Ask<'_>) -> Result<StudyAnswer, StudyError> {
    let study = study(&table.values, ask.level)?;
    let (scale, scale_why) = choose_scale(facts, &study, ask)?;
    let mean = mean(&table);
    let published = ask.test.and_then(|test| {
        let age = ask.age.or(table.age);
        published_error(facts, test, age, scale == OnScale::Logs, mean)
    });
    let chosen = match (scale, &study.logs) {
        (OnScale::Logs, Ok(logs)) => logs,
        _ => &study.raw,
    };
    let own = chosen.pooled.as_ref().ok().map(|e| e.error);
    let pairs = own.map_or(0, |e| e.df as usize + 1);
    let blended = match (own, &chosen.pooled) {
        (None, Err(why)) if published.is_none() => Err(why.clone()),
        _ => blend(own.map(|e| (e, pairs)), published.as_ref().map(|p| p.error)),
    };
    let blend_interval = blended.clone().and_then(|b| {
        let error = TypicalError {
            value: b.error.value,
            df: b.error.df.min(DF_LIMIT),
        };
        error.interval(ask.level)
    });
    Ok(StudyAnswer {
        test: ask.test.map(str::to_owned),
        detectable: blended.clone().and_then(|b| detectable(b.error)),
        table,
        study,
        scale,
        scale_why,
        mean,
        pairs,
        published,
        blend: blended,
        blend_interval,
    })
}

/// Returns the limits of agreement of a pair whose trials differ at all: limits without any spread
/// would be a line that looks exact.
pub(super) fn limits_of(pair: &PairResult) -> Result<Limits, MeasureError> {
    pair.error.clone().and_then(|_| pair.limits.clone())
}

/// Returns the change in the mean of a pair whose trials differ by more than one and the same step.
pub(super) fn change_of(pair: &PairResult) -> Result<MeanChange, MeasureError> {
    pair.error.clone().and_then(|_| pair.change.clone())
}

/// Chi-square intervals are taken at no more than this many degrees of freedom.
const DF_LIMIT: f64 = 1e6;

fn choose_scale(
    facts: &Facts,
    study: &Study,
    ask: &Ask<'_>,
) -> Result<(OnScale, String), StudyError> {
    if let Some(scale) = ask.scale {
        if scale == OnScale::Logs {
            study.logs.as_ref().map_err(Clone::clone)?;
        }
        return Ok((scale, "the scale asked for".to_owned()));
    }
    let advice = study.level_check.as_ref().map(|c| c.advice);
    if advice == Ok(Advice::Logs) && study.logs.is_ok() {
        let why = "the error grows with the value, and percentages lessen that";
        return Ok((OnScale::Logs, why.to_owned()));
    }
    if let Some(known) = ask.test.and_then(|test| facts.scale(test)) {
        let logs = known.scale == plimsoll_interpret::data::Scale::Log && study.logs.is_ok();
        let scale = if logs { OnScale::Logs } else { OnScale::Raw };
        let why = format!("results of {} are compared in this way", known.test);
        return Ok((scale, why));
    }
    let why = match advice {
        Ok(Advice::Raw) => "the error does not grow with the value",
        _ => "too few people to tell whether the error grows with the value",
    };
    Ok((OnScale::Raw, why.to_owned()))
}

fn mean(table: &StudyTable) -> f64 {
    let (people, trials) = (table.values.people().len(), table.values.numbers().len());
    let values = (0..people).flat_map(|i| (0..trials).map(move |j| (i, j)));
    let (mut n, mut sum) = (0.0, 0.0);
    for value in values.filter_map(|(i, j)| table.values.value(i, j)) {
        n += 1.0;
        sum += (value - sum) / n;
    }
    sum
}
