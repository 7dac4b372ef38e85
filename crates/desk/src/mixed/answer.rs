//! Reads the rows, checks what is asked of them, fits, and puts the results in the words of the table.
//! Holds no formula but the share of a part; those of the fit are in `measure`.

use std::collections::BTreeMap;

use plimsoll_measure::mixed::{
    Criterion, Data, Design, Fit, ProfileInterval, ProfileTarget, Settings, Weights, fit,
};
use plimsoll_measure::{Interval, MeasureError};

use super::ask::Ask;
use super::coding::{Coding, needs};
use super::error::MixedError;
use super::guard;
use super::resolve::{outcome_needs, resolve};
use super::rows::{Dropped, Rows, read};
use super::share::{Share, mean_variance, shares};
use super::table::{MixedTable, unit_of};

/// Most rows and random columns for which SDs get their profile interval unasked.
const QUICK_ROWS: usize = 2000;
const QUICK_COLUMNS: usize = 4;

/// A fixed effect, or the typical value.
#[derive(Debug, Clone)]
pub struct Effect {
    /// Name of the column; a category with the one it is compared with.
    pub name: String,
    /// Estimate, on the scale of the fit.
    pub estimate: f64,
    /// Its standard error.
    pub se: f64,
    /// Satterthwaite's degrees of freedom; none when the variances count as known.
    pub df: Option<f64>,
    /// Its interval, or why there is none.
    pub interval: Result<Interval, MeasureError>,
    /// Its profile interval, when asked for.
    pub profile: Option<Result<ProfileInterval, MeasureError>>,
}

/// A random part: a group and one of its columns, or what is left over.
#[derive(Debug, Clone)]
pub struct Part {
    /// The group; nothing for what is left over.
    pub group: Option<String>,
    /// The slope; nothing for the height.
    pub slope: Option<String>,
    /// SD on the scale of the fit.
    pub sd: f64,
    /// Profile interval, or why there is none; nothing when it was not worked out.
    pub interval: Option<Result<ProfileInterval, MeasureError>>,
}

/// A correlation of two columns of a group.
#[derive(Debug, Clone)]
pub struct Together {
    /// The group.
    pub group: String,
    /// Its columns.
    pub columns: [String; 2],
    /// The correlation; nothing when an SD is 0.
    pub value: Option<f64>,
    /// Profile interval, when asked for.
    pub interval: Option<Result<ProfileInterval, MeasureError>>,
}

/// A fitted model with everything that is said of it.
#[derive(Debug, Clone)]
pub struct MixedAnswer {
    /// What was asked, with headers in place of names.
    pub ask: Ask,
    /// Unit of the outcome; empty when not known.
    pub unit: String,
    /// The fit.
    pub fit: Fit,
    /// Fixed effects.
    pub fixed: Vec<Effect>,
    /// The expected outcome at the mean of all fixed columns.
    pub typical: Effect,
    /// Random parts, what is left over last.
    pub parts: Vec<Part>,
    /// Correlations within groups.
    pub together: Vec<Together>,
    /// Shares of the scatter, what is left over last.
    pub shares: Vec<Share>,
    /// Labels of the levels, one list a group.
    pub levels: Vec<Vec<String>>,
    /// Rows that were left out.
    pub dropped: Vec<Dropped>,
    /// How the rows were read, and remarks on the model.
    pub notes: Vec<String>,
    pub(super) coding: Coding,
}

/// Fits what is asked to the rows of a table.
///
/// # Errors
///
/// [`MixedError`] with the row, column or group that stands in the way.
pub fn answer(table: MixedTable, ask: &Ask) -> Result<MixedAnswer, MixedError> {
    let (ask, terms, factors) = resolve(&table, ask)?;
    let mut needs = needs(&terms, &factors, &ask.groups);
    outcome_needs(&ask, &mut needs)?;
    let rows = read(&table, &needs)?;
    enough(&table, &rows)?;
    let coding = Coding::learn(&terms, &factors, &ask.groups, &rows);
    guard::columns(&ask.outcome, &coding, &rows)?;
    let design = coding.design(&table.name, &rows)?;
    let mut notes = table.notes.clone();
    notes.extend(guard::groups(&design, &coding)?);
    let data = data(&ask, &rows, design);
    let criterion = if ask.ml {
        Criterion::Ml
    } else {
        Criterion::Reml
    };
    let fit = fit(&data, &Settings::new(criterion))?;
    let header = unit_of(&ask.outcome).map(str::to_owned);
    let columns: usize = fit.terms.iter().map(|t| t.columns.len()).sum();
    let sds = ask.profile || (rows.rows.len() <= QUICK_ROWS && columns <= QUICK_COLUMNS);
    Ok(MixedAnswer {
        unit: header.unwrap_or(table.unit),
        fixed: fixed(&fit, &ask),
        typical: typical(&fit, &data.design, ask.level),
        parts: parts(&fit, &ask, sds),
        together: together(&fit, &ask),
        shares: whose(&fit, &data),
        levels: levels(&fit, &coding),
        dropped: rows.dropped,
        notes,
        fit,
        ask,
        coding,
    })
}

/// Refuses fewer rows than say anything, with the columns that lack values.
fn enough(table: &MixedTable, rows: &Rows) -> Result<(), MixedError> {
    if rows.rows.len() >= 3 {
        return Ok(());
    }
    let mut lacking: BTreeMap<&str, usize> = BTreeMap::new();
    for column in rows.dropped.iter().flat_map(|d| &d.columns) {
        *lacking.entry(column).or_default() += 1;
    }
    let mut found = format!("{} rows with all values", rows.rows.len());
    for (column, count) in lacking {
        found += &format!(", no `{column}` in {count}");
    }
    Err(MixedError::model(
        table.name.as_str(),
        found,
        "three or more; in earnest, several for each level",
        "add rows, or take out the column in which values are missing",
    ))
}

fn data(ask: &Ask, rows: &Rows, design: Design) -> Data {
    let values = rows.of(&ask.outcome);
    let weights = ask.error.as_ref().map(|error| {
        let pairs = rows.of(error).iter().zip(values);
        // On logs an error is a share of its value, to first order.
        let relative = pairs.map(|(e, v)| if ask.log { e / v } else { *e });
        Weights::KnownVariance(relative.map(|e| e * e).collect())
    });
    Data {
        response: values
            .iter()
            .map(|v| if ask.log { v.ln() } else { *v })
            .collect(),
        design,
        weights: weights.unwrap_or_default(),
    }
}

/// A sum of multiples of the fixed effects, with its interval.
pub(super) fn contrast(fit: &Fit, name: &str, multiples: &[f64], level: f64) -> Effect {
    let product = |a: usize, b: usize| multiples[a] * multiples[b] * fit.covariance[a][b];
    let all = 0..multiples.len();
    let pairs = all.clone().flat_map(|a| all.clone().map(move |b| (a, b)));
    let variance: f64 = pairs.map(|(a, b)| product(a, b)).sum();
    let effects = multiples.iter().zip(&fit.fixed);
    let test = fit.test(multiples);
    Effect {
        name: name.to_owned(),
        estimate: effects.map(|(m, f)| m * f.estimate).sum(),
        se: variance.max(0.0).sqrt(),
        df: test.as_ref().ok().and_then(|t| t.df),
        interval: test.and_then(|t| t.interval(level)),
        profile: None,
    }
}

fn fixed(fit: &Fit, ask: &Ask) -> Vec<Effect> {
    let count = fit.fixed.len();
    (0..count)
        .map(|at| {
            let multiples: Vec<f64> = (0..count).map(|k| f64::from(k == at)).collect();
            let mut effect = contrast(fit, &fit.fixed[at].name, &multiples, ask.level);
            if ask.profile {
                effect.profile = Some(fit.profile(ProfileTarget::Fixed { column: at }, ask.level));
            }
            effect
        })
        .collect()
}

fn typical(fit: &Fit, design: &Design, level: f64) -> Effect {
    let means: Vec<f64> = design
        .fixed
        .iter()
        .map(|c| c.values.iter().sum::<f64>() / c.values.len() as f64)
        .collect();
    contrast(fit, "typical", &means, level)
}

fn parts(fit: &Fit, ask: &Ask, sds: bool) -> Vec<Part> {
    let profile = |target| sds.then(|| fit.profile(target, ask.level));
    let mut all = Vec::new();
    for (term, estimate) in fit.terms.iter().enumerate() {
        for (column, found) in estimate.columns.iter().enumerate() {
            all.push(Part {
                group: Some(estimate.name.clone()),
                slope: (column > 0).then(|| found.name.clone()),
                sd: found.sd,
                interval: profile(ProfileTarget::Sd { term, column }),
            });
        }
    }
    all.extend(fit.sigma.map(|sd| Part {
        group: None,
        slope: None,
        sd,
        interval: profile(ProfileTarget::Sigma),
    }));
    all
}

fn together(fit: &Fit, ask: &Ask) -> Vec<Together> {
    let mut all = Vec::new();
    for (term, (estimate, group)) in fit.terms.iter().zip(&ask.groups).enumerate() {
        let count = estimate.columns.len();
        let pairs = (0..count).flat_map(|i| (i + 1..count).map(move |j| (i, j)));
        for (first, second) in pairs.filter(|_| group.correlated) {
            let target = ProfileTarget::Correlation {
                term,
                first,
                second,
            };
            all.push(Together {
                group: estimate.name.clone(),
                columns: [first, second].map(|c| estimate.columns[c].name.clone()),
                value: estimate.correlations[first][second],
                interval: ask.profile.then(|| fit.profile(target, ask.level)),
            });
        }
    }
    all
}

fn whose(fit: &Fit, data: &Data) -> Vec<Share> {
    let terms = fit.terms.iter().zip(&data.design.random);
    let mut all: Vec<(Option<String>, f64)> = terms
        .map(|(estimate, term)| (Some(estimate.name.clone()), mean_variance(estimate, term)))
        .collect();
    let left = match &data.weights {
        Weights::KnownVariance(known) => known.iter().sum::<f64>() / known.len() as f64,
        _ => fit.sigma.map_or(0.0, |s| s * s),
    };
    all.push((None, left));
    shares(all)
}

fn levels(fit: &Fit, coding: &Coding) -> Vec<Vec<String>> {
    let groups = fit.terms.iter().zip(&coding.groups);
    groups
        .map(|(term, group)| term.levels.iter().map(|&l| group.label(l)).collect())
        .collect()
}
