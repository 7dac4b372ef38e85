//! Who asks: sessions of the lead and the medic, devices admitted to one wave, codes to join.
//! Must keep no secret in clear text, and must let a device's token open its own wave only.

mod form;
mod host;
mod rate;
mod store;
mod who;

pub use form::{Fields, Guarded};
pub use host::{Hosts, by_program, guard};
pub use rate::{ARRIVING, GUESSES, RECORDING, Rates};
pub use store::{Access, Invitation, Known, Store, write_private};
pub use who::{CSRF_FIELD, Who, cookie, token_in};

use serde::{Deserialize, Serialize};

/// Who a session or a device speaks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Runs the day.
    Lead,
    /// Sees the health answers and sets the codes.
    Medic,
    /// Watches lanes of one wave.
    Assessor,
}

impl Role {
    /// Returns the role as events have it.
    pub const fn in_events(self) -> plimsoll_judge::Role {
        match self {
            Self::Lead => plimsoll_judge::Role::Lead,
            Self::Medic => plimsoll_judge::Role::Medic,
            Self::Assessor => plimsoll_judge::Role::Assessor,
        }
    }
}
