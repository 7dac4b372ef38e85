//! The languages that have a voice.
//! Must not hold words: those are in `voices/*.toml`.

use std::fmt;
use std::str::FromStr;

use super::VoiceError;

/// A language the announcements can be spoken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Language {
    /// English.
    English,
    /// Spanish, with a Latin American voice.
    Spanish,
    /// French.
    French,
    /// German.
    German,
    /// Portuguese, with a Brazilian voice.
    Portuguese,
    /// Japanese.
    Japanese,
    /// Modern Standard Arabic.
    Arabic,
}

impl Language {
    /// Every language, in the order of the declaration.
    pub const ALL: [Self; 7] = [
        Self::English,
        Self::Spanish,
        Self::French,
        Self::German,
        Self::Portuguese,
        Self::Japanese,
        Self::Arabic,
    ];

    /// Returns the two-letter code of ISO 639-1.
    pub fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
            Self::French => "fr",
            Self::German => "de",
            Self::Portuguese => "pt",
            Self::Japanese => "ja",
            Self::Arabic => "ar",
        }
    }

    /// What stands between two words of a written announcement.
    pub(super) fn space(self) -> &'static str {
        match self {
            Self::Japanese => "",
            _ => " ",
        }
    }

    /// What stands between the two halves of a written announcement.
    pub(super) fn comma(self) -> &'static str {
        match self {
            Self::Japanese => "、",
            Self::Arabic => "، ",
            _ => ", ",
        }
    }
}

impl fmt::Display for Language {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl FromStr for Language {
    type Err = VoiceError;

    fn from_str(text: &str) -> Result<Self, VoiceError> {
        Self::ALL
            .into_iter()
            .find(|language| language.code().eq_ignore_ascii_case(text))
            .ok_or_else(|| VoiceError::UnknownLanguage {
                found: text.to_owned(),
                allowed: Self::ALL.map(Self::code).join(", "),
            })
    }
}
