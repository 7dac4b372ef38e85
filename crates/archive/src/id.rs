//! Ids: one type for each kind of thing, so that a day cannot be asked for as a person.
//! Stored as the usual text of a UUID, 36 characters, lower case.

use std::fmt;
use std::str::FromStr;

use uuid::Uuid;

use crate::db::V;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.hyphenated().fmt(f)
            }
        }

        impl FromStr for $name {
            type Err = uuid::Error;

            fn from_str(text: &str) -> Result<Self, uuid::Error> {
                Uuid::from_str(text).map(Self)
            }
        }

        impl From<$name> for V {
            fn from(id: $name) -> Self {
                Self::T(id.to_string())
            }
        }
    )*};
}

ids! {
    /// A person; stays the same through every change of name.
    PersonId;
    /// A test day.
    DayId;
    /// One version of a result.
    ResultId;
    /// An import of a file.
    ImportId;
    /// A row of an imported file.
    SourceId;
    /// A row of an imported file that was held back.
    HeldId;
    /// A squad membership, one version.
    MembershipId;
    /// A merge of two people.
    MergeId;
    /// A sound check.
    SoundCheckId;
    /// A wave of a test day.
    WaveId;
    /// A paper of a test day.
    PaperId;
    /// A health note.
    HealthNoteId;
}
