//! The alarm that no L, M and S can describe the data: heavy tails, two humps, or another shape.
//! Needs both a clear test and a size that matters: with a million people every test is clear.
//! Limits: own choice, stated in docs/methods/growth-references.md.

use std::fmt;

use super::groups::{AgeGroup, Groups};
use super::normality::{Moments, distance, kurtosis_test, moments};
use crate::MeasureError;

/// p below which a departure is clear, shared over all checks (Bonferroni).
const CLEAR: f64 = 0.01;
/// Excess kurtosis from which tails are heavy, and below minus which there are humps.
const KURTOSIS: f64 = 0.5;
/// Gap between the shares below from which the shape matters: three centiles.
const GAP: f64 = 0.03;

/// What is wrong with the shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alarm {
    /// More people far out than a normal has.
    HeavyTails,
    /// Fewer people in the middle and far out: two humps, or cut-off ends.
    TwoHumps,
    /// Another shape.
    OtherShape,
}

impl fmt::Display for Alarm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::HeavyTails => {
                "heavy tails: outer centiles are not trustworthy; look for wrong values and mixed \
                 groups"
            }
            Self::TwoHumps => {
                "two humps or cut-off ends: no single reference fits; look for two groups, such \
                 as the sexes, or a highest stage that many reach"
            }
            Self::OtherShape => {
                "the shape is not one that L, M and S can take; look at the worm plots"
            }
        })
    }
}

/// The check of the shape of z, for all or for one age group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapeCheck {
    /// First and last age.
    pub ages: (f64, f64),
    /// Moments of z.
    pub moments: Moments,
    /// Anderson-Darling A^2 against a normal with the mean and SD of these z.
    pub anderson_darling: f64,
    /// Its p; on the cautious side, as L was fitted as well.
    pub p: f64,
    /// Two-sided p of the kurtosis.
    pub kurtosis_p: f64,
    /// Largest gap between the share below and that of a normal, 0 to 1.
    pub gap: f64,
    /// What is wrong, if anything is.
    pub alarm: Option<Alarm>,
}

impl Groups {
    /// Returns the check for all people, then for each group.
    pub fn shape(&self) -> Result<Vec<ShapeCheck>, MeasureError> {
        let mut all: Vec<(f64, f64)> = self
            .groups
            .iter()
            .flat_map(|group| group.sorted.iter().copied())
            .collect();
        all.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let ages = (
            self.groups.first().map_or(f64::NAN, |g| g.ages.0),
            self.groups.last().map_or(f64::NAN, |g| g.ages.1),
        );
        let clear = CLEAR / (2.0 * (self.groups.len() as f64 + 1.0));
        let mut checks = vec![check_shape(&all, ages, clear)?];
        for AgeGroup { ages, sorted, .. } in &self.groups {
            checks.push(check_shape(sorted, *ages, clear)?);
        }
        Ok(checks)
    }
}

fn check_shape(
    sorted: &[(f64, f64)],
    ages: (f64, f64),
    clear: f64,
) -> Result<ShapeCheck, MeasureError> {
    let moments = moments(sorted)?;
    let distance = distance(sorted, &moments);
    let z = kurtosis_test(moments.excess_kurtosis, moments.people)?;
    let kurtosis_p = 2.0 * crate::dist::lower_tail(-z.abs(), None);
    let bent = kurtosis_p < clear;
    let alarm = if bent && moments.excess_kurtosis > KURTOSIS {
        Some(Alarm::HeavyTails)
    } else if bent && moments.excess_kurtosis < -KURTOSIS {
        Some(Alarm::TwoHumps)
    } else if distance.p < clear && distance.gap > GAP {
        Some(Alarm::OtherShape)
    } else {
        None
    };
    Ok(ShapeCheck {
        ages,
        moments,
        anderson_darling: distance.anderson_darling,
        p: distance.p,
        kurtosis_p,
        gap: distance.gap,
        alarm,
    })
}
