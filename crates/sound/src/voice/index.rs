//! The index beside each sound file: what is where, and how a language puts its words in order.

use std::collections::BTreeMap;

use serde::Deserialize;

/// One `voices/<code>.toml`.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct Index {
    /// Code of the language, checked against the one asked for.
    pub language: String,
    /// Sample rate of the sound file in Hz.
    pub rate: u32,
    /// Counts of seconds for which number and "seconds" do not agree.
    pub odd_seconds: Vec<u32>,
    /// For each phrase its forms, longest first.
    pub forms: BTreeMap<String, Vec<Vec<String>>>,
    /// For each key where the clip is.
    pub clips: BTreeMap<String, Place>,
}

/// Where one clip is, and what it says.
#[derive(Debug, Deserialize)]
pub(super) struct Place {
    /// First millisecond.
    pub start: u32,
    /// Length in milliseconds.
    pub ms: u32,
    /// The words, as they are written.
    pub text: String,
}

impl Place {
    /// Returns the first sample and the one after the last, at `rate`.
    pub fn bounds(&self, rate: u32) -> (usize, usize) {
        let at = |ms: u32| (u64::from(ms) * u64::from(rate) / 1000) as usize;
        (at(self.start), at(self.start.saturating_add(self.ms)))
    }
}
