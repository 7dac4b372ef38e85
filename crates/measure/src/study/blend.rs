//! Own typical error and a published one: below ten pairs both by their precision, then own alone.
//! Works on the log variance, where the precision of an error depends on its df only.
//! Formula: moments of log chi-square (textbook); ten pairs: interpretation notes, common practice.

use statrs::function::gamma::digamma;

use crate::error::TypicalError;
use crate::{MeasureError, check, quad, tails};

/// From this number of pairs on the own data stand alone.
const OWN_ALONE_FROM: usize = 10;

/// A published typical error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Published {
    /// The error with its degrees of freedom, on the same scale and unit as the own data.
    pub error: TypicalError,
    /// SD of ln(typical error) between groups like this one, 0 or more; 0 takes the published
    /// group as the same as this one.
    pub spread: f64,
}

/// Where the blended error comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BlendBasis {
    /// Own data alone.
    Own {
        /// Number of own pairs.
        pairs: usize,
    },
    /// Own data and the published error.
    Both {
        /// Number of own pairs.
        pairs: usize,
        /// Weight of the own data, 0 to 1.
        own_weight: f64,
    },
    /// The published error alone: no own data.
    Published,
}

/// An error with its basis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blend {
    /// The error and the degrees of freedom it is worth.
    pub error: TypicalError,
    /// Where it comes from.
    pub basis: BlendBasis,
}

/// Returns the error to use: own data (error and number of pairs) and a published default.
/// Fewer than ten own pairs without a published error are a fault.
pub fn blend(
    own: Option<(TypicalError, usize)>,
    published: Option<Published>,
) -> Result<Blend, MeasureError> {
    if let Some((error, _)) = own {
        usable(error)?;
    }
    if let Some(published) = published {
        usable(published.error)?;
        check::not_negative("spread of typical errors between groups", published.spread)?;
    }
    match (own, published) {
        (Some((error, pairs)), _) if pairs >= OWN_ALONE_FROM => Ok(Blend {
            error,
            basis: BlendBasis::Own { pairs },
        }),
        (Some((error, pairs)), Some(published)) => both(error, pairs, published),
        (None, Some(published)) => Ok(Blend {
            error: from_log(log_variance(published.error, published.spread))?,
            basis: BlendBasis::Published,
        }),
        (own, None) => Err(MeasureError::TooFew {
            what: "own test-retest pairs without a published error",
            found: own.map_or(0, |(_, pairs)| pairs),
            needed: OWN_ALONE_FROM,
        }),
    }
}

fn usable(error: TypicalError) -> Result<(), MeasureError> {
    check::positive("typical error", error.value)?;
    check::within(
        "degrees of freedom",
        error.df,
        (1.0..=1e6).contains(&error.df),
        "1 to a million",
    )?;
    Ok(())
}

/// ln of the variance without its small-sample bias, and the variance of that.
fn log_variance(error: TypicalError, spread: f64) -> (f64, f64) {
    let half = error.df / 2.0;
    let bias = digamma(half) - half.ln();
    let precision = tails::trigamma(half) + 4.0 * spread * spread;
    (2.0 * error.value.ln() - bias, precision)
}

/// The error whose estimate has this log variance and this variance of it.
fn from_log((log, variance): (f64, f64)) -> Result<TypicalError, MeasureError> {
    // trigamma falls with df, so its negative rises with ln(df / 2).
    let half = quad::rising_root("the degrees of freedom", 0.0, 1.0, |log_half| {
        variance - tails::trigamma(log_half.exp())
    })?
    .exp();
    let value = ((log + digamma(half) - half.ln()) / 2.0).exp();
    Ok(TypicalError {
        value: check::positive("blended error", check::result("the blended error", value)?)?,
        // A spread between groups can be worth less than one degree of freedom.
        df: (2.0 * half).max(1.0),
    })
}

fn both(own: TypicalError, pairs: usize, published: Published) -> Result<Blend, MeasureError> {
    let (own_log, own_variance) = log_variance(own, 0.0);
    let (their_log, their_variance) = log_variance(published.error, published.spread);
    let (a, b) = (1.0 / own_variance, 1.0 / their_variance);
    let own_weight = a / (a + b);
    let log = own_weight * own_log + (1.0 - own_weight) * their_log;
    Ok(Blend {
        error: from_log((log, 1.0 / (a + b)))?,
        basis: BlendBasis::Both { pairs, own_weight },
    })
}
