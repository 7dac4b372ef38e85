//! The live channel of a wave, as `docs/formats/live.md` has it.

mod parts;
mod record;
mod socket;
mod timeline;
mod view;
mod watch;

pub use parts::Parts;
pub use record::record;
pub use socket::socket;
pub use timeline::timeline;
pub use view::{clock, no_route, view, wait};
pub use watch::watch;

use plimsoll_archive::WaveId;

use crate::fault::Fault;

/// Reads the id of a wave from a path.
///
/// # Errors
///
/// [`Fault::missing`] when it is none.
pub fn wave_id(text: &str) -> Result<WaveId, Fault> {
    text.parse()
        .map_err(|_| Fault::missing("wave", "an id that is none"))
}
