//! All five fits of one set of trials side by side, with what they disagree on.
//! Must not pick a winner: the first fit is the customary one, the others stand beside it.

use crate::critical::{hyperbola, lines};
use crate::{Interval, MeasureError, check};

/// CS of the fits further apart than this share is worth a warning. Our choice, no source.
const SPEED_APART: f64 = 0.01;
/// D′ of the fits further apart than this share is worth a warning. Our choice, no source.
const DISTANCE_APART: f64 = 0.10;
/// Most trials of one person.
const MOST_TRIALS: usize = 200;

/// A maximal run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// Distance, m, above 0.
    pub distance: f64,
    /// Time, s, above 0.
    pub time: f64,
}

/// How CS and D′ are read from trials.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Method {
    /// Least squares of distance on time.
    DistanceOnTime,
    /// Least squares of speed on 1 / time.
    SpeedOnInverseTime,
    /// Least squares of time on distance.
    TimeOnDistance,
    /// Nonlinear least squares of time, t = D′ / (v - CS).
    TimeOnSpeed,
    /// Theil-Sen line of distance on time.
    TheilSen,
    /// Siegel line of distance on time.
    Siegel,
}

impl Method {
    /// Every method, the customary one first; the two robust lines are one fit in two forms.
    pub const ALL: [Self; 6] = [
        Self::DistanceOnTime,
        Self::SpeedOnInverseTime,
        Self::TimeOnDistance,
        Self::TimeOnSpeed,
        Self::TheilSen,
        Self::Siegel,
    ];

    /// Returns the method in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::DistanceOnTime => "distance on time",
            Self::SpeedOnInverseTime => "speed on 1 / time",
            Self::TimeOnDistance => "time on distance",
            Self::TimeOnSpeed => "time on speed, nonlinear",
            Self::TheilSen => "Theil-Sen, distance on time",
            Self::Siegel => "Siegel, distance on time",
        }
    }
}

/// One fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CriticalFit {
    /// How it was made.
    pub method: Method,
    /// Critical speed, m/s.
    pub speed: f64,
    /// Distance above critical speed, m; may come out at or below 0, which is warned of.
    pub distance: f64,
    /// Standard error of the speed, m/s; none with two trials and for the robust lines.
    pub speed_se: Option<f64>,
    /// Standard error of the distance, m; as above.
    pub distance_se: Option<f64>,
    /// Interval of the speed; t with n - 2 degrees of freedom, by ranks for Theil-Sen.
    pub speed_interval: Option<Interval>,
    /// Interval of the distance, t with n - 2 degrees of freedom.
    pub distance_interval: Option<Interval>,
    /// How the search for a nonlinear fit ended.
    pub convergence: Option<hyperbola::Convergence>,
}

/// What to know before using a fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CriticalWarning {
    /// Two trials lie on one line whatever they are: nothing says how far off it is.
    NoInterval,
    /// The fits disagree on the speed.
    SpeedsApart {
        /// Lowest, m/s.
        low: f64,
        /// Highest, m/s.
        high: f64,
    },
    /// The fits disagree on the distance.
    DistancesApart {
        /// Lowest, m.
        low: f64,
        /// Highest, m.
        high: f64,
    },
    /// A fit gives no distance above 0, or a speed not above 0: the trials do not slow with length.
    Implausible(Method),
}

/// All fits of one set of trials.
#[derive(Debug, Clone, PartialEq)]
pub struct CriticalFits {
    /// The fits, the customary one first.
    pub fits: Vec<CriticalFit>,
    /// Fits that have no answer, with why.
    pub refused: Vec<(Method, MeasureError)>,
    /// Number of trials.
    pub trials: usize,
    /// Lowest and highest speed over the fits, m/s.
    pub speeds: (f64, f64),
    /// Lowest and highest distance over the fits, m.
    pub distances: (f64, f64),
    /// What to know before using one.
    pub warnings: Vec<CriticalWarning>,
}

impl CriticalFits {
    /// Returns the fit by a method, if it has an answer.
    pub fn by(&self, method: Method) -> Option<&CriticalFit> {
        self.fits.iter().find(|fit| fit.method == method)
    }
}

/// Returns every fit of two or more trials with intervals at `level`.
///
/// # Errors
///
/// [`MeasureError`] when the customary line has no answer: fewer than two trials, values not
/// finite or not above 0, or times all the same.
pub fn critical_fits(trials: &[Trial], level: f64) -> Result<CriticalFits, MeasureError> {
    let level = check::level(level)?;
    let (distances, times) = checked(trials)?;
    let (mut fits, mut refused) = (Vec::new(), Vec::new());
    for method in Method::ALL {
        let found = match method {
            Method::TimeOnSpeed => hyperbola::time_on_speed(&distances, &times, level),
            _ => lines::by(method, &distances, &times, level),
        };
        match found {
            Ok(fit) => fits.push(fit),
            Err(fault) if method == Method::DistanceOnTime => return Err(fault),
            Err(fault) => refused.push((method, fault)),
        }
    }
    let speeds = range(fits.iter().map(|f| f.speed));
    let ds = range(fits.iter().map(|f| f.distance));
    let warnings = warnings(&fits, trials.len(), speeds, ds);
    Ok(CriticalFits {
        fits,
        refused,
        trials: trials.len(),
        speeds,
        distances: ds,
        warnings,
    })
}

fn checked(trials: &[Trial]) -> Result<(Vec<f64>, Vec<f64>), MeasureError> {
    let (needed, found) = (2, trials.len());
    let what = "maximal trials";
    if found < needed {
        return Err(MeasureError::TooFew {
            what,
            found,
            needed,
        });
    }
    if found > MOST_TRIALS {
        return Err(MeasureError::TooMany {
            what,
            found,
            allowed: MOST_TRIALS,
        });
    }
    let mut lists = (Vec::with_capacity(found), Vec::with_capacity(found));
    for trial in trials {
        lists
            .0
            .push(check::positive("distance of a trial (m)", trial.distance)?);
        lists
            .1
            .push(check::positive("time of a trial (s)", trial.time)?);
    }
    Ok(lists)
}

fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}

fn warnings(
    fits: &[CriticalFit],
    trials: usize,
    speeds: (f64, f64),
    distances: (f64, f64),
) -> Vec<CriticalWarning> {
    let mut out = Vec::new();
    if trials == 2 {
        out.push(CriticalWarning::NoInterval);
    }
    let first = fits.first();
    let apart = |(low, high): (f64, f64), of: Option<f64>, share: f64| {
        of.is_some_and(|v| high - low > share * v.abs())
    };
    if apart(speeds, first.map(|f| f.speed), SPEED_APART) {
        let (low, high) = speeds;
        out.push(CriticalWarning::SpeedsApart { low, high });
    }
    if apart(distances, first.map(|f| f.distance), DISTANCE_APART) {
        let (low, high) = distances;
        out.push(CriticalWarning::DistancesApart { low, high });
    }
    let wrong = fits.iter().filter(|f| f.distance <= 0.0 || f.speed <= 0.0);
    out.extend(wrong.map(|f| CriticalWarning::Implausible(f.method)));
    out
}
