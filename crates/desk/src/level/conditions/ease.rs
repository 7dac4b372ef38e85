//! What a day that asks for more or less speed is worth to one result, on ln.
//! Must answer nothing where the ladder cannot tell. Derived: the climb between the middles of two stages is even.

use plimsoll_interpret::Unit;
use plimsoll_interpret::data::TestScale;
use plimsoll_judge::Amount;
use plimsoll_ladder::Test;
use plimsoll_listen::worth_bouts;
use plimsoll_measure::level::Normal;

use crate::history::{Entry, comparable};
use crate::score::score;

/// Most that a day may ask for, as a share of speed, before nothing is said.
const MOST: f64 = 0.20;

/// One result on its ladder.
pub struct Ease<'a> {
    test: &'a Test,
    scale: Option<&'a TestScale>,
    bouts: Option<u32>,
}

impl<'a> Ease<'a> {
    /// Returns the place of a result.
    pub fn of(test: &'a Test, scale: Option<&'a TestScale>, entry: &Entry) -> Self {
        Self {
            test,
            scale,
            bouts: entry.score.bouts,
        }
    }

    /// Returns what a demand of `more` times the nominal speed, minus 1, adds; its SD is a share of it.
    pub fn exactly(&self, more: f64, share: f64) -> Option<Normal> {
        let mean = self.worth(more)?;
        Some(Normal {
            mean,
            sd: share * mean.abs(),
        })
    }

    /// Returns what a loss of `share` of speed adds, itself known only to `doubt` times its size.
    pub fn about(&self, share: f64, doubt: f64) -> Option<Normal> {
        let mean = self.worth(share)?;
        let spread = doubt * share.abs();
        let (less, more) = (self.worth(share - spread)?, self.worth(share + spread)?);
        Some(Normal {
            mean,
            sd: 0.5 * (less - more).abs(),
        })
    }

    /// Returns ln of the result as it would be over ln of the result as it is.
    fn worth(&self, more: f64) -> Option<f64> {
        if !more.is_finite() || more.abs() > MOST {
            return None;
        }
        let unit = self.scale.map_or(Unit::Metres, |s| s.unit);
        let by_speed = matches!(unit, Unit::KmPerHour | Unit::MetresPerSecond);
        let (Some(bouts), false) = (self.bouts, by_speed) else {
            // The result is a speed, or a distance in a fixed time: it changes by the same share.
            return Some(-more.ln_1p());
        };
        let gained = worth_bouts(self.test, bouts.max(1), 1e6 * more)?;
        let now = self.value(f64::from(bouts))?;
        let then = self.value(f64::from(bouts) + gained)?;
        (now > 0.0 && then > 0.0).then(|| (then / now).ln())
    }

    /// Returns the value of a number of bouts, between whole ones too; beyond the end its last step goes on.
    fn value(&self, bouts: f64) -> Option<f64> {
        /// Nobody is shown to run less than this.
        const LEAST: f64 = 0.5;
        let bouts = bouts.max(LEAST);
        let last = self.test.ladder()?.bouts().len() as f64;
        let below = bouts.floor().min(last - 1.0).max(0.0);
        let (low, high) = (self.whole(below as u32)?, self.whole(below as u32 + 1)?);
        Some(low + (high - low) * (bouts - below))
    }

    fn whole(&self, bouts: u32) -> Option<f64> {
        if bouts == 0 {
            return Some(0.0);
        }
        score(self.test, Amount::Bouts(bouts))
            .and_then(|s| comparable(&s, self.scale))
            .map(|(value, _)| value)
    }
}
