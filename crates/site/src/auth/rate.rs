//! How fast someone may ask: buckets that fill with time.

use std::collections::BTreeMap;
use std::sync::Mutex;

use crate::fault::Fault;

/// Buckets kept at most; beyond it the full ones are forgotten.
const MOST: usize = 10_000;

/// How fast a kind of request may come.
#[derive(Debug, Clone, Copy)]
pub struct Rate {
    /// At most so many at once.
    pub burst: f64,
    /// So many a second in the long run.
    pub per_s: f64,
}

/// Guesses at a passphrase or a code.
pub const GUESSES: Rate = Rate {
    burst: 10.0,
    per_s: 0.2,
};
/// Requests with the code of a day: a whole squad answers within minutes.
pub const ARRIVING: Rate = Rate {
    burst: 60.0,
    per_s: 1.0,
};
/// Requests that record events.
pub const RECORDING: Rate = Rate {
    burst: 200.0,
    per_s: 50.0,
};

/// The buckets.
#[derive(Default)]
pub struct Rates {
    buckets: Mutex<BTreeMap<String, (f64, i64)>>,
}

impl Rates {
    /// Takes one from the bucket of a key.
    ///
    /// # Errors
    ///
    /// [`Fault::too_fast`] when it is empty.
    pub fn take(&self, key: &str, rate: Rate, now_ms: i64) -> Result<(), Fault> {
        let mut buckets = self
            .buckets
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if buckets.len() >= MOST {
            buckets.retain(|_, (left, _)| *left < rate.burst);
            buckets.retain(|_, (_, at)| now_ms - *at < 600_000);
        }
        let (left, at) = buckets
            .entry(key.to_owned())
            .or_insert((rate.burst, now_ms));
        let gained = (now_ms - *at).max(0) as f64 / 1_000.0 * rate.per_s;
        *left = (*left + gained).min(rate.burst);
        *at = now_ms;
        if *left < 1.0 {
            let wait = ((1.0 - *left) / rate.per_s).ceil().clamp(1.0, 600.0);
            return Err(Fault::too_fast(wait as u32));
        }
        *left -= 1.0;
        Ok(())
    }
}
