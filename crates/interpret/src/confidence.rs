//! How a number came to us: the tag that travels from the data file to the page.
//! The tags are words in the files; this only parses and prints them.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// How far a value can be trusted, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Confidence {
    /// Read in the source itself.
    #[serde(rename = "source read")]
    SourceRead,
    /// Read in the abstract or opening of the source.
    #[serde(rename = "source read (abstract/summary only)")]
    SourceReadAbstract,
    /// Read in another text that reports the source.
    #[serde(rename = "secondary source read")]
    SecondaryRead,
    /// Follows by arithmetic from values with their own tags.
    #[serde(rename = "derived arithmetic")]
    Derived,
    /// In use in the trade; no source was found.
    #[serde(rename = "common practice, no source")]
    CommonPractice,
    /// Recalled, not seen.
    #[serde(rename = "from memory")]
    FromMemory,
}

impl Confidence {
    /// Every tag, best first.
    pub const ALL: [Self; 6] = [
        Self::SourceRead,
        Self::SourceReadAbstract,
        Self::SecondaryRead,
        Self::Derived,
        Self::CommonPractice,
        Self::FromMemory,
    ];

    /// Returns the tag as files and pages write it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SourceRead => "source read",
            Self::SourceReadAbstract => "source read (abstract/summary only)",
            Self::SecondaryRead => "secondary source read",
            Self::Derived => "derived arithmetic",
            Self::CommonPractice => "common practice, no source",
            Self::FromMemory => "from memory",
        }
    }

    /// Returns the tags that a file may hold, for messages.
    pub(crate) fn allowed() -> String {
        Self::ALL.map(|tag| format!("`{tag}`")).join(", ")
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Confidence {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        Self::ALL
            .into_iter()
            .find(|tag| tag.as_str() == text.trim())
            .ok_or(())
    }
}
