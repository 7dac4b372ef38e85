//! Which parameters a squad's results can tell, and their working scale.
//! Counts of results decide, by fixed minimum numbers; nothing is looked up.
//! The minimum numbers are choices: docs/methods/level.md, "Parameters".

use super::super::model::{Model, Normal, Start};
use super::super::series::Series;
use super::{Estimate, Kept, Parameter, PriorWidth};

/// Results beyond each person's first that an error or the drift needs: as for repeat pairs.
const REPEATS: usize = 10;
/// People that a group mean and SD, or a learning effect, needs.
const PEOPLE: usize = 5;

/// A free parameter: value = start exp(w), or start + unit w, at the working number w.
#[derive(Debug, Clone, Copy)]
pub(super) struct Free {
    pub(super) parameter: Parameter,
    pub(super) start: f64,
    /// Working unit; none for a parameter on its logarithm.
    pub(super) unit: Option<f64>,
    /// SD of the prior in working units; none where flat.
    pub(super) width: Option<f64>,
}

impl Free {
    pub(super) fn value(&self, at: f64) -> f64 {
        match self.unit {
            None => self.start * at.exp(),
            Some(unit) => self.start + unit * at,
        }
    }

    pub(super) fn estimate(&self, at: f64, error: Option<f64>) -> Estimate {
        let value = self.value(at);
        Estimate {
            parameter: self.parameter,
            value,
            se: error.map(|error| error * self.unit.unwrap_or(value)),
            on_log: self.unit.is_none(),
        }
    }
}

/// Counts over a squad.
struct Counts {
    people: usize,
    later_dates: usize,
    repeats: Vec<usize>,
    learners: [usize; 2],
}

/// Splits the parameters into those to work out and those that stay.
pub(super) fn choose(
    prior: &Model,
    squad: &[Series],
    width: &PriorWidth,
) -> (Vec<Free>, Vec<Kept>) {
    let counts = Counts::of(squad, prior.tests.len());
    let (mut free, mut kept) = (Vec::new(), Vec::new());
    let mut decide = |one: Free, found: usize, needed: usize, what: &str| {
        if found >= needed {
            free.push(one);
        } else {
            let why = format!("stays at its prior: {found} {what}, at least {needed} needed");
            let parameter = one.parameter;
            kept.push(Kept { parameter, why });
        }
    };
    let on_log = |parameter, start, width| Free {
        parameter,
        start,
        unit: None,
        width,
    };
    if prior.drift > 0.0 {
        let one = on_log(Parameter::Drift, prior.drift, width.ln_drift);
        decide(
            one,
            counts.later_dates,
            REPEATS,
            "results on a later date than a person's first",
        );
    }
    for (place, test) in prior.tests.iter().enumerate() {
        let one = on_log(Parameter::Error(place), test.error, width.ln_error);
        decide(
            one,
            counts.repeats[place],
            REPEATS,
            "repeats of the test by the same person",
        );
    }
    let learning = [
        (Parameter::FirstTrial, prior.learning.first),
        (Parameter::SecondTrial, prior.learning.second),
    ];
    for ((parameter, belief), people) in learning.into_iter().zip(counts.learners) {
        if belief.sd > 0.0 {
            let one = Free {
                parameter,
                start: belief.mean,
                unit: Some(belief.sd),
                width: Some(1.0),
            };
            decide(
                one,
                people,
                PEOPLE,
                "people with such a trial and a later one of the same test",
            );
        }
    }
    if let Start::From(Normal { mean, sd }) = prior.start {
        let one = Free {
            parameter: Parameter::GroupMean,
            start: mean,
            unit: Some(sd),
            width: width.group_mean,
        };
        decide(one, counts.people, PEOPLE, "people");
        let one = on_log(Parameter::GroupSd, sd, width.ln_group_sd);
        decide(one, counts.people, PEOPLE, "people");
    }
    (free, kept)
}

impl Counts {
    fn of(squad: &[Series], tests: usize) -> Self {
        let mut counts = Self {
            people: squad.len(),
            later_dates: 0,
            repeats: vec![0; tests],
            learners: [0; 2],
        };
        for series in squad {
            let seen = series.observations();
            counts.later_dates += seen.iter().filter(|o| o.week > series.first_week()).count();
            for (test, repeats) in counts.repeats.iter_mut().enumerate() {
                *repeats += seen
                    .iter()
                    .filter(|o| o.test == test)
                    .count()
                    .saturating_sub(1);
            }
            for (trial, learners) in (1..).zip(counts.learners.iter_mut()) {
                let learns = seen.iter().any(|early| {
                    let later = |late: &super::super::series::Observation| {
                        late.test == early.test && late.trial.is_none_or(|n| n > 2)
                            || late.test == early.test && trial == 1 && late.trial == Some(2)
                    };
                    early.trial == Some(trial) && seen.iter().any(later)
                });
                *learners += usize::from(learns);
            }
        }
        counts
    }
}
