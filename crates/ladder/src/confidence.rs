//! How far a value can be trusted, from "read in the paper" to "from memory".

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// How a value was obtained, strongest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Confidence {
    /// Read in the source itself.
    #[serde(rename = "source read")]
    SourceRead,
    /// Read in the abstract or a summary of the source.
    #[serde(rename = "source read (abstract/summary only)")]
    AbstractRead,
    /// Read in another text that reports the source.
    #[serde(rename = "secondary source read")]
    SecondaryRead,
    /// Follows by arithmetic from values that carry their own confidence.
    #[serde(rename = "derived arithmetic")]
    Derived,
    /// In use in the trade; no source was found.
    #[serde(rename = "common practice, no source")]
    CommonPractice,
    /// Recalled, not seen.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Recalled with doubt.
    #[serde(rename = "from memory (low)")]
    FromMemoryLow,
}

impl Confidence {
    /// Every level, strongest first.
    pub const ALL: [Self; 7] = [
        Self::SourceRead,
        Self::AbstractRead,
        Self::SecondaryRead,
        Self::Derived,
        Self::CommonPractice,
        Self::FromMemory,
        Self::FromMemoryLow,
    ];

    /// Returns the tag as data files and pages write it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SourceRead => "source read",
            Self::AbstractRead => "source read (abstract/summary only)",
            Self::SecondaryRead => "secondary source read",
            Self::Derived => "derived arithmetic",
            Self::CommonPractice => "common practice, no source",
            Self::FromMemory => "from memory",
            Self::FromMemoryLow => "from memory (low)",
        }
    }

    /// Returns whether a value with this tag must name at least one source.
    pub const fn needs_source(self) -> bool {
        matches!(
            self,
            Self::SourceRead | Self::AbstractRead | Self::SecondaryRead
        )
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A tag that names no confidence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownConfidence;

impl FromStr for Confidence {
    type Err = UnknownConfidence;

    fn from_str(text: &str) -> Result<Self, UnknownConfidence> {
        Self::ALL
            .into_iter()
            .find(|c| c.as_str() == text)
            .ok_or(UnknownConfidence)
    }
}
