//! Speed, length, instant and span: whole numbers with their unit in the type.

use std::fmt;

use serde::Serialize;

/// A running speed, a whole number of millimetres an hour.
///
/// Whole metres an hour would do for every test but the one whose speed rises by 0.014 m/s
/// (50.4 m/h) with each shuttle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Speed(u64);

impl Speed {
    /// Returns the speed for a number of millimetres an hour.
    pub const fn from_mm_per_h(mm_per_h: u64) -> Self {
        Self(mm_per_h)
    }

    /// Returns the speed for a number of metres an hour: 8.5 km/h is 8 500.
    pub const fn from_m_per_h(m_per_h: u64) -> Self {
        Self(m_per_h * 1_000)
    }

    /// Returns the speed in millimetres an hour.
    pub const fn as_mm_per_h(self) -> u64 {
        self.0
    }

    /// Returns the speed in kilometres an hour, nearest binary fraction.
    pub fn as_kmh_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Returns the speed in metres a second, nearest binary fraction.
    pub fn as_m_per_s_f64(self) -> f64 {
        self.0 as f64 / 3.6e6
    }
}

impl fmt::Display for Speed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} km/h", self.as_kmh_f64())
    }
}

/// A length, a whole number of millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize)]
pub struct Length(u64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);

    /// Returns the length for a number of millimetres.
    pub const fn from_mm(mm: u64) -> Self {
        Self(mm)
    }

    /// Returns the length for a number of whole metres.
    pub const fn from_m(m: u64) -> Self {
        Self(m * 1_000)
    }

    /// Returns the length in millimetres.
    pub const fn as_mm(self) -> u64 {
        self.0
    }

    /// Returns the length in metres, nearest binary fraction.
    pub fn as_m_f64(self) -> f64 {
        self.0 as f64 / 1e3
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} m", self.as_m_f64())
    }
}

/// An instant on a test's own clock: whole nanoseconds since the first start signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize)]
pub struct Instant(i64);

impl Instant {
    /// The first start signal.
    pub const START: Self = Self(0);

    /// Returns the instant a number of nanoseconds after the first start signal.
    pub const fn from_nanos(nanos: i64) -> Self {
        Self(nanos)
    }

    /// Returns the instant in nanoseconds.
    pub const fn as_nanos(self) -> i64 {
        self.0
    }

    /// Returns the instant in seconds, nearest binary fraction.
    pub fn as_secs_f64(self) -> f64 {
        self.0 as f64 / 1e9
    }

    /// Returns the span from an earlier instant to this one.
    pub const fn since(self, earlier: Self) -> Span {
        Span(self.0 - earlier.0)
    }
}

/// A stretch of time, whole nanoseconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize)]
pub struct Span(i64);

impl Span {
    /// Returns the span for a number of nanoseconds.
    pub const fn from_nanos(nanos: i64) -> Self {
        Self(nanos)
    }

    /// Returns the span for a number of milliseconds.
    pub const fn from_millis(millis: i64) -> Self {
        Self(millis * 1_000_000)
    }

    /// Returns the span in nanoseconds.
    pub const fn as_nanos(self) -> i64 {
        self.0
    }

    /// Returns the span in seconds, nearest binary fraction.
    pub fn as_secs_f64(self) -> f64 {
        self.0 as f64 / 1e9
    }
}
