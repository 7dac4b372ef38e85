//! The six intraclass correlations with F intervals, from variance components.
//! Without gaps the forms and intervals of 1979 and 1996; with gaps the same with effective counts.
//! Sources: Shrout & Fleiss 1979, McGraw & Wong 1996; psych 2.2.9 numbers reproduced.

use super::agreement;
use super::components::Components;
use crate::error::{Icc, IccForm};
use crate::tails::held;
use crate::{Interval, MeasureError, check, dist};

/// A correlation with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IccEstimate {
    /// The form and its value.
    pub icc: Icc,
    /// Its interval of 1979 and 1996, as other programs print it; none when the numbers leave none (no
    /// spread of people at all). For agreement it is too narrow where few trials differ, and more so
    /// the more people there are: 85 or 79 % where 90 % is said.
    pub interval: Option<Interval>,
    /// The interval to show: for agreement one that holds its level, otherwise the same.
    pub calibrated: Option<Interval>,
    /// Whether the interval is exact for normal data; with gaps, and for agreement, it is not.
    pub exact: bool,
}

/// Returns the six forms in the order (1,1), (2,1), (3,1), (1,k), (2,k), (3,k).
pub(crate) fn correlations(
    parts: &Components,
    level: f64,
) -> Result<[IccEstimate; 6], MeasureError> {
    let level = check::level(level)?;
    let singles = [
        share(IccForm::OneWay, parts.between_one_way, parts.within)?,
        share(IccForm::Agreement, parts.between, parts.trial + parts.error)?,
        share(IccForm::Consistency, parts.between, parts.error)?,
    ];
    let one_way = f_ends(
        parts.within + parts.trials_each_one_way * parts.between_one_way,
        parts.within,
        parts.trials_each_one_way,
        (
            parts.people as f64 - 1.0,
            (parts.values - parts.people) as f64,
        ),
        level,
    )?;
    let agreement = agreement_ends(parts, singles[1].value, level)?;
    let holds = agreement::ends(parts, level);
    let consistency = f_ends(
        parts.people_square(),
        parts.error,
        parts.trials_each,
        (parts.people as f64 - 1.0, parts.df_error as f64),
        level,
    )?;
    let ends = [one_way, agreement, consistency];
    let calibrated = [one_way, holds, consistency];
    let exact = [parts.complete, false, parts.complete];
    let k = parts.trials as f64;
    let means = [
        IccForm::OneWayMean,
        IccForm::AgreementMean,
        IccForm::ConsistencyMean,
    ];
    let single = |i: usize| IccEstimate {
        icc: singles[i],
        interval: interval(ends[i], level),
        calibrated: interval(calibrated[i], level),
        exact: exact[i],
    };
    let mean = |i: usize| -> Result<IccEstimate, MeasureError> {
        let value = step_up(singles[i].value, k).ok_or(MeasureError::NoSpread {
            what: "the people",
            hint: "a correlation needs people who differ; use the typical error instead",
        })?;
        let stepped = |ends: Option<(f64, f64)>| {
            ends.and_then(|(low, high)| Some((step_up(low, k)?, step_up(high, k)?)))
        };
        Ok(IccEstimate {
            icc: Icc {
                form: means[i],
                value,
            },
            interval: interval(stepped(ends[i]), level),
            calibrated: interval(stepped(calibrated[i]), level),
            exact: exact[i],
        })
    };
    Ok([
        single(0),
        single(1),
        single(2),
        mean(0)?,
        mean(1)?,
        mean(2)?,
    ])
}

fn interval(ends: Option<(f64, f64)>, level: f64) -> Option<Interval> {
    let (lower, upper) = ends?;
    (lower.is_finite() && upper.is_finite() && lower <= upper).then_some(Interval {
        lower,
        upper,
        level,
    })
}

/// Correlation of the mean of k trials from that of one.
fn step_up(single: f64, k: f64) -> Option<f64> {
    let bottom = 1.0 + (k - 1.0) * single;
    (bottom > 0.0).then(|| k * single / bottom)
}

fn share(form: IccForm, between: f64, rest: f64) -> Result<Icc, MeasureError> {
    if between + rest <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the people",
            hint: "a correlation needs people who differ; use the typical error instead",
        });
    }
    let value = check::result("the intraclass correlation", between / (between + rest))?;
    Ok(Icc { form, value })
}

/// Ends of a correlation from its F ratio; none when people or trials do not differ.
fn f_ends(
    people: f64,
    error: f64,
    each: f64,
    df: (f64, f64),
    level: f64,
) -> Result<Option<(f64, f64)>, MeasureError> {
    if error <= 0.0 || people <= 0.0 {
        return Ok(None);
    }
    let p = 0.5 + level / 2.0;
    let (df1, df2) = (held(df.0), held(df.1));
    let low = people / error / dist::f_quantile(p, df1, df2)?;
    let high = people / error * dist::f_quantile(p, df2, df1)?;
    let end = |f: f64| (f - 1.0) / (f + each - 1.0);
    Ok(Some((end(low), end(high))))
}

/// Ends of the agreement form with the approximate df of McGraw & Wong.
fn agreement_ends(
    parts: &Components,
    value: f64,
    level: f64,
) -> Result<Option<(f64, f64)>, MeasureError> {
    let (n, k) = (parts.people_each, parts.trials_each);
    let (people, trials, error) = (parts.people_square(), parts.trials_square(), parts.error);
    if people <= 0.0 || error <= 0.0 {
        return Ok(None);
    }
    let ratio = trials / error;
    let spread = n * (1.0 + (k - 1.0) * value) - k * value;
    let top = (parts.df_error as f64) * (k * value * ratio + spread).powi(2);
    let bottom = (parts.people as f64 - 1.0) * (k * value * ratio).powi(2) + spread.powi(2);
    let df = top / bottom;
    if !df.is_finite() || df <= 0.0 {
        return Ok(None);
    }
    let (df1, df2) = (held(parts.people as f64 - 1.0), held(df));
    let p = 0.5 + level / 2.0;
    let (down, up) = (
        dist::f_quantile(p, df1, df2)?,
        dist::f_quantile(p, df2, df1)?,
    );
    let rest = k * trials + (k * n - k - n) * error;
    let low = n * (people - down * error) / (down * rest + n * people);
    let high = n * (up * people - error) / (rest + n * up * people);
    Ok(Some((low, high)))
}
