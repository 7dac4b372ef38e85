//! Exact rational time and distance. Rounding happens once, on the way out.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};

use crate::units::{Instant, Length, Speed};

/// An exact quantity: nanoseconds when it is a time, millimetres when it is a distance.
pub(crate) type Exact = BigRational;

/// Nanoseconds in an hour.
const NANOS_PER_HOUR: u64 = 3_600 * 1_000_000_000;

/// Returns the whole number as an exact quantity.
pub(crate) fn whole(n: u64) -> Exact {
    Exact::from_integer(BigInt::from(n))
}

/// Returns nothing at all, exactly.
pub(crate) fn zero() -> Exact {
    Exact::zero()
}

/// Returns the exact time, in nanoseconds, to cover `distance` millimetres at `speed`.
/// The speed is above zero: definitions are checked for it.
pub(crate) fn time_for(distance: &Exact, speed: Speed) -> Exact {
    distance
        * Exact::new(
            BigInt::from(NANOS_PER_HOUR),
            BigInt::from(speed.as_mm_per_h()),
        )
}

/// Returns the exact distance, in millimetres, covered in `time` nanoseconds at `speed`.
pub(crate) fn distance_in(time: &Exact, speed: Speed) -> Exact {
    time * Exact::new(
        BigInt::from(speed.as_mm_per_h()),
        BigInt::from(NANOS_PER_HOUR),
    )
}

/// Returns the nearest whole number, halves up.
fn round_half_up(value: &Exact) -> BigInt {
    (value + Exact::new(BigInt::from(1), BigInt::from(2)))
        .floor()
        .to_integer()
}

/// Returns the instant, rounded once to the nanosecond, halves up.
pub(crate) fn instant(value: &Exact) -> Instant {
    // A definition's longest time is bounded far below 2^63 ns, see `parse`.
    Instant::from_nanos(round_half_up(value).to_i64().unwrap_or(i64::MAX))
}

/// Returns the length, rounded once to the millimetre, halves up.
pub(crate) fn length(value: &Exact) -> Length {
    Length::from_mm(round_half_up(value).to_u64().unwrap_or(u64::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twenty_metres_at_8_5_is_144_seventeenths_of_a_second() {
        let t = time_for(&whole(20_000), Speed::from_m_per_h(8_500));
        assert_eq!(
            t,
            Exact::new(BigInt::from(144_000_000_000_u64), BigInt::from(17))
        );
        assert_eq!(instant(&t).as_nanos(), 8_470_588_235);
        assert_eq!(
            length(&distance_in(&t, Speed::from_m_per_h(8_500))),
            Length::from_m(20)
        );
    }
}
