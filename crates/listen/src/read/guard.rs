//! A fence around demuxers and decoders: a panic on hostile bytes becomes an ordinary error.
//! Must not be put around our own code: there a panic is a bug to be seen.

use std::panic::{AssertUnwindSafe, catch_unwind};

use symphonia::core::errors::{Error, Result};

/// What the error says after a panic.
pub(super) const GAVE_UP: &str = "its reader gave up";

/// Runs `work`; a panic in it becomes a decode error. What it touched must not be used again.
pub(super) fn guarded<T>(work: impl FnOnce() -> Result<T>) -> Result<T> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or(Err(Error::DecodeError(GAVE_UP)))
}
