//! Intraclass correlations in the six forms of 1979, from one table of mean squares.
//! Never labels a value as good or bad: it depends on how varied the group is.
//! Source: Shrout & Fleiss 1979 and McGraw & Wong 1996, example recomputed and reproduced.

use crate::{Interval, MeasureError, check, dist};

/// Mean squares of a person x trial table, in the squared unit of the data.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanSquares {
    /// Number of people, 2 or more.
    pub n: usize,
    /// Number of trials, 2 or more.
    pub k: usize,
    /// Between people, df n - 1.
    pub people: f64,
    /// Between trials, df k - 1.
    pub trials: f64,
    /// Residual, df (n - 1)(k - 1).
    pub error: f64,
    /// Within people (trials and residual together), df n (k - 1).
    pub within: f64,
}

impl MeanSquares {
    /// Returns the residual degrees of freedom.
    pub fn df_error(&self) -> f64 {
        (self.n as f64 - 1.0) * (self.k as f64 - 1.0)
    }
}

/// A form of the intraclass correlation, as numbered in 1979.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IccForm {
    /// ICC(1,1): one-way, single trial.
    OneWay,
    /// ICC(2,1): two-way, agreement, single trial: learning counts as error.
    Agreement,
    /// ICC(3,1): two-way, consistency, single trial.
    Consistency,
    /// ICC(1,k): one-way, mean of the k trials.
    OneWayMean,
    /// ICC(2,k): agreement, mean of the k trials.
    AgreementMean,
    /// ICC(3,k): consistency, mean of the k trials.
    ConsistencyMean,
}

/// A value of one form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Icc {
    /// Which form.
    pub form: IccForm,
    /// The value, 1 at most; below 0 when people differ less than the error.
    pub value: f64,
}

/// Returns the mean squares of a complete table, a row a person, at least 2 x 2.
pub fn mean_squares(rows: &[Vec<f64>]) -> Result<MeanSquares, MeasureError> {
    let n = rows.len();
    if n < 2 {
        return Err(MeasureError::TooFew {
            what: "people with repeat trials",
            found: n,
            needed: 2,
        });
    }
    let k = rows[0].len();
    for row in rows {
        if row.len() != k {
            return Err(MeasureError::UnequalLengths {
                what: "trials of two people",
                first: k,
                second: row.len(),
            });
        }
        check::list("trials of one person", row, 2)?;
    }
    let (nf, kf) = (n as f64, k as f64);
    let means: Vec<f64> = rows.iter().map(|row| check::mean(row)).collect();
    let grand = check::mean(&means);
    let people_ss: f64 = kf * means.iter().map(|m| (m - grand).powi(2)).sum::<f64>();
    let mut trials_ss = 0.0;
    let mut error_ss = 0.0;
    let mut within_ss = 0.0;
    for j in 0..k {
        let column = rows.iter().map(|row| row[j]).sum::<f64>() / nf;
        trials_ss += nf * (column - grand).powi(2);
        for (row, mean) in rows.iter().zip(&means) {
            error_ss += (row[j] - mean - column + grand).powi(2);
            within_ss += (row[j] - mean).powi(2);
        }
    }
    let ms = |ss: f64, df: f64| check::result("the mean squares", ss / df);
    Ok(MeanSquares {
        n,
        k,
        people: ms(people_ss, nf - 1.0)?,
        trials: ms(trials_ss, kf - 1.0)?,
        error: ms(error_ss, (nf - 1.0) * (kf - 1.0))?,
        within: ms(within_ss, nf * (kf - 1.0))?,
    })
}

/// Returns one form of the intraclass correlation.
pub fn icc(squares: &MeanSquares, form: IccForm) -> Result<Icc, MeasureError> {
    let (n, k) = (squares.n as f64, squares.k as f64);
    let MeanSquares {
        people,
        trials,
        error,
        within,
        ..
    } = *squares;
    let (top, bottom) = match form {
        IccForm::OneWay => (people - within, people + (k - 1.0) * within),
        IccForm::Agreement => (
            people - error,
            people + (k - 1.0) * error + k * (trials - error) / n,
        ),
        IccForm::Consistency => (people - error, people + (k - 1.0) * error),
        IccForm::OneWayMean => (people - within, people),
        IccForm::AgreementMean => (people - error, people + (trials - error) / n),
        IccForm::ConsistencyMean => (people - error, people),
    };
    if bottom <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the people",
            hint: "a correlation needs people who differ; use the typical error instead",
        });
    }
    Ok(Icc {
        form,
        value: check::result("the intraclass correlation", top / bottom)?,
    })
}

/// Returns the F interval of ICC(3,1), the consistency form.
pub fn icc_interval(squares: &MeanSquares, level: f64) -> Result<Interval, MeasureError> {
    let level = check::level(level)?;
    if squares.error <= 0.0 || squares.people <= 0.0 {
        return Err(MeasureError::NoSpread {
            what: "the trials or the people",
            hint: "check that one trial was not copied from the other",
        });
    }
    let (df1, df2, k) = (squares.n as f64 - 1.0, squares.df_error(), squares.k as f64);
    let p = 0.5 + level / 2.0;
    let ratio = squares.people / squares.error;
    let low = ratio / dist::f_quantile(p, df1, df2)?;
    let high = ratio * dist::f_quantile(p, df2, df1)?;
    let end = |f: f64| check::result("the interval of the correlation", (f - 1.0) / (f + k - 1.0));
    Ok(Interval {
        lower: end(low)?,
        upper: end(high)?,
        level,
    })
}
