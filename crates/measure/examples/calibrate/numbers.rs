//! Seeded numbers, one stream a unit, and units spread over two threads.
//! The same numbers whatever thread does the work: splitmix64 (Steele, Lea & Flood 2014), Box and Muller (1958).

use crate::Fault;
use crate::tally::Tally;

const THREADS: usize = 2;

/// A stream of numbers.
pub struct Numbers(u64);

impl Numbers {
    /// Returns the stream of a unit of a job.
    pub fn of(job: u64, unit: usize) -> Self {
        let mut first = Self((job << 32) ^ unit as u64);
        // One step apart is enough for splitmix64; a mixed start keeps neighbours from sharing stretches.
        Self(first.bits())
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Returns a number from 0 to below 1.
    pub fn even(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Returns a standard normal number.
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }

    /// Returns a typical error estimated on whole degrees of freedom, where the true one is 1.
    pub fn estimated(&mut self, df: u32) -> f64 {
        let squares: f64 = (0..df).map(|_| self.normal().powi(2)).sum();
        (squares / f64::from(df)).sqrt()
    }
}

/// Adds up the tallies of all units, in their order.
pub fn over(
    units: usize,
    one: impl Fn(usize) -> Result<Tally, Fault> + Sync,
) -> Result<Tally, Fault> {
    let part = |thread: usize| -> Result<Vec<Tally>, Fault> {
        (thread..units).step_by(THREADS).map(&one).collect()
    };
    let parts = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..THREADS)
            .map(|thread| scope.spawn(move || part(thread)))
            .collect();
        let joined = handles.into_iter().map(|handle| handle.join());
        joined
            .map(|done| done.unwrap_or_else(|_| Err("a unit broke off".into())))
            .collect::<Result<Vec<_>, Fault>>()
    })?;
    let mut sum = Tally::default();
    for unit in 0..units {
        sum.add(&parts[unit % THREADS][unit / THREADS]);
    }
    Ok(sum)
}
