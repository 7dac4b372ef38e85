//! The clock, fresh ids and the name of who acts: the only place that asks the machine for them.

use std::time::{SystemTime, UNIX_EPOCH};

use plimsoll_archive::World;
use uuid::Uuid;

/// This machine, for the archive.
#[derive(Debug, Clone)]
pub struct Machine {
    who: String,
}

impl Machine {
    /// Returns this machine with the name under which changes are written into the journal.
    pub fn acting_as(named: Option<&str>) -> Self {
        let from_environment = || {
            ["USER", "USERNAME", "LOGNAME"].iter().find_map(|key| {
                std::env::var(key)
                    .ok()
                    .filter(|name| !name.trim().is_empty())
            })
        };
        let who = named.map(str::to_owned).or_else(from_environment);
        Self {
            who: who.unwrap_or_else(|| "someone".to_owned()),
        }
    }
}

impl World for Machine {
    fn now_ms(&self) -> i64 {
        let since = SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .unwrap_or_default();
        i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
    }

    fn new_id(&self) -> Uuid {
        Uuid::now_v7()
    }

    fn who(&self) -> String {
        self.who.clone()
    }
}

/// Returns today's date where this machine is.
pub fn today() -> jiff::civil::Date {
    jiff::ZonedDateTime::now().date()
}

/// Returns the moment, UTC, for files that say when they were made.
pub fn now_utc() -> jiff::civil::DateTime {
    jiff::Timestamp::now()
        .to_zoned_datetime(jiff::tz::TimeZone::UTC)
        .datetime()
}
