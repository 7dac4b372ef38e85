//! Confidence tags: how far a number can be trusted, in words.
//! Must not carry a judgement of its own; the tag travels from the data to the page.

use serde::{Deserialize, Serialize};

/// How a number is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Tag {
    /// Measured by the user on the day or in their own repeat tests.
    Measured,
    /// Seen in the publication itself.
    SourceRead,
    /// Seen in a publication that quotes the first one.
    SecondaryRead,
    /// Customary, with no publication behind it.
    CommonPractice,
    /// Recalled, not seen.
    FromMemory,
    /// Computed from other numbers on the page.
    Derived,
}

impl Tag {
    /// Every tag, from the firmest to the weakest, with derived numbers last.
    pub const ALL: [Self; 6] = [
        Self::Measured,
        Self::SourceRead,
        Self::SecondaryRead,
        Self::CommonPractice,
        Self::FromMemory,
        Self::Derived,
    ];

    /// Returns the words a reader sees.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::SourceRead => "source read",
            Self::SecondaryRead => "secondary source read",
            Self::CommonPractice => "common practice, no source",
            Self::FromMemory => "from memory",
            Self::Derived => "derived",
        }
    }

    /// Returns the tag for the words a reader sees, or nothing for words it does not know.
    pub fn from_words(words: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|tag| tag.words() == words.trim())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_tags_belong_together() {
        for tag in Tag::ALL {
            assert_eq!(Tag::from_words(tag.words()), Some(tag));
        }
        assert_eq!(Tag::from_words(" from memory "), Some(Tag::FromMemory));
        assert_eq!(Tag::from_words("certain"), None);
    }
}
