//! The words of `plimsoll listen`.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll listen`.
#[derive(Debug, Args)]
#[command(after_help = "\
Reads WAV, FLAC, MP3, M4A/AAC, OGG, Opus, WebM and the sound of MP4 and MOV video, at any rate.\n\
Before a test: play the first two minutes, record them at the far lane with a phone, and listen to\n\
the recording with --before. A recording is evidence: it never changes a result by itself.")]
pub struct Listen {
    /// The recording.
    pub file: PathBuf,
    /// The test that was to be played.
    #[arg(long, value_name = "ID")]
    pub test: Option<String>,
    /// Keep what was heard beside this test day: its date or id.
    #[arg(long, value_name = "DAY")]
    pub attach: Option<String>,
    /// The recording is a check before the test, not of the test itself.
    #[arg(long)]
    pub before: bool,
    /// Draw the timing of every cue into this file (SVG).
    #[arg(long, value_name = "FILE")]
    pub figure: Option<PathBuf>,
}
