//! Levels with the parameters known.

use plimsoll_measure::level::{Normal, posterior};

use crate::Fault;
use crate::athletes::{SQUAD, Truth, judge};
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

/// Squads of 24.
const SQUADS: usize = 500;

/// What is true of all squads here.
pub const USUAL: Truth = Truth {
    group: Normal { mean: 7.2, sd: 0.2 },
    drift: 0.0002,
    error: [0.07, 0.09],
    learning: [
        Normal {
            mean: -0.05,
            sd: 0.02,
        },
        Normal {
            mean: -0.02,
            sd: 0.01,
        },
    ],
};

pub fn job() -> Result<Section, Fault> {
    let model = USUAL.model()?;
    let tally = over(SQUADS, |unit| {
        let mut numbers = Numbers::of(1, unit);
        let mut tally = Tally::default();
        for _ in 0..SQUAD {
            let athlete = USUAL.athlete(&mut numbers)?;
            let found = posterior(&model, &athlete.series)?;
            judge(&mut tally, &found, &athlete.levels)?;
        }
        Ok(tally)
    })?;
    let mut section = Section::new(
        "Levels, parameters known",
        "500 squads of 24 athletes with six dates over 30 weeks: whole bouts of two tests, one result in eight \
         cut short and known as a lower bound only, first and second trials among them.",
    );
    section.covers(&tally);
    section.bins(&tally, false);
    Ok(section)
}
