//! What a person may choose about a track. Anything not chosen is as the definition has it.

use thiserror::Error;

/// Which announcements are spoken between the cues.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Script {
    /// No speech at all.
    None,
    /// Each new stage.
    Stage,
    /// Each bout, with its stage.
    StageAndBout,
}

impl Script {
    /// Every script.
    pub const ALL: [Self; 3] = [Self::None, Self::Stage, Self::StageAndBout];

    /// Returns the word used in definitions and files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Stage => "stage",
            Self::StageAndBout => "stage_and_bout",
        }
    }

    /// Returns the script with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|script| script.as_str() == word)
    }
}

/// Where a track ends before the ladder does: a submaximal form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Until {
    /// After the finish of the bout with this label.
    Label(String),
    /// After this many seconds from the first start, whoever is running: "stop now".
    Seconds(u32),
}

/// How loud a track is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loudness {
    /// Integrated loudness aimed at, LUFS (ITU-R BS.1770, EBU R 128), −40 to −5.
    pub target_lufs: f64,
    /// Highest true peak allowed, dBTP, −9 to 0; it wins over the target.
    pub ceiling_dbtp: f64,
}

impl Default for Loudness {
    fn default() -> Self {
        Self {
            target_lufs: -14.0,
            ceiling_dbtp: -1.0,
        }
    }
}

/// What is chosen about a track.
#[derive(Debug, Clone, PartialEq)]
pub struct TrackOptions {
    /// Samples per second: 44,100 or 48,000.
    pub rate: u32,
    /// Starts with the bout of this label.
    pub from: Option<String>,
    /// Ends here.
    pub until: Option<Until>,
    /// Seconds counted down before the first start, 0 to 60; the definition's when not chosen.
    pub countdown_s: Option<u32>,
    /// A minute of warm-up before the countdown.
    pub warm_up: bool,
    /// Which announcements are spoken; the definition's when not chosen.
    pub script: Option<Script>,
    /// Says "rest" after each finish.
    pub say_rest: bool,
    /// Two soft ticks two seconds before a start that ends a rest.
    pub recovery_end: bool,
    /// Level of the voice against the cues, dB, −30 to +6.
    pub voice_gain_db: f64,
    /// A quiet bed that keeps a loudspeaker awake.
    pub bed: bool,
    /// The tone code after each cue.
    pub code: bool,
    /// How loud.
    pub loudness: Loudness,
}

impl Default for TrackOptions {
    fn default() -> Self {
        Self {
            rate: 48_000,
            from: None,
            until: None,
            countdown_s: None,
            warm_up: false,
            script: None,
            say_rest: false,
            recovery_end: true,
            voice_gain_db: -3.0,
            bed: false,
            code: true,
            loudness: Loudness::default(),
        }
    }
}

/// Why there is no track.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlanError {
    /// The test has no cues.
    #[error(
        "`{0}` is not paced by cues, so there is no track; `plimsoll tests` shows the paced ones"
    )]
    NotPaced(String),
    /// A label is not on the ladder.
    #[error(
        "label `{label}` is not on the ladder of `{test}`; `plimsoll ladder {test}` lists them"
    )]
    NoSuchLabel {
        /// The test.
        test: String,
        /// The label asked for.
        label: String,
    },
    /// The end lies before the start.
    #[error("the track would end at {end} and starts at {start}; choose an end after the start")]
    Backwards {
        /// Where it starts.
        start: String,
        /// Where it would end.
        end: String,
    },
    /// A value is out of its range.
    #[error("{what} is {found}; allowed is {allowed}")]
    OutOfRange {
        /// What was chosen.
        what: &'static str,
        /// What was found.
        found: String,
        /// What is allowed.
        allowed: &'static str,
    },
    /// A cue cannot be coded.
    #[error(
        "bout {bout} of `{test}` has no tone code: bouts go to 511, with sixteen signals of a kind \
         each; make the track without the code"
    )]
    NoCode {
        /// The test.
        test: String,
        /// The bout.
        bout: u32,
    },
}

impl TrackOptions {
    /// Checks the ranges.
    pub(super) fn check(&self) -> Result<(), PlanError> {
        let wrong = |what, found: String, allowed| {
            Err(PlanError::OutOfRange {
                what,
                found,
                allowed,
            })
        };
        if ![44_100, 48_000].contains(&self.rate) {
            return wrong(
                "the sampling rate",
                format!("{} Hz", self.rate),
                "44100 or 48000 Hz",
            );
        }
        if let Some(seconds) = self.countdown_s.filter(|s| *s > 60) {
            return wrong("the countdown", format!("{seconds} s"), "0 to 60 s");
        }
        if !(-30.0..=6.0).contains(&self.voice_gain_db) {
            let found = format!("{} dB", self.voice_gain_db);
            return wrong("the gain of the voice", found, "-30 to 6 dB");
        }
        if !(-40.0..=-5.0).contains(&self.loudness.target_lufs) {
            let found = format!("{} LUFS", self.loudness.target_lufs);
            return wrong("the loudness", found, "-40 to -5 LUFS");
        }
        if !(-9.0..=0.0).contains(&self.loudness.ceiling_dbtp) {
            let found = format!("{} dBTP", self.loudness.ceiling_dbtp);
            return wrong("the true-peak ceiling", found, "-9 to 0 dBTP");
        }
        if let Some(Until::Seconds(seconds)) = self.until
            && !(10..=7200).contains(&seconds)
        {
            return wrong("the end", format!("{seconds} s"), "10 to 7200 s");
        }
        Ok(())
    }
}
