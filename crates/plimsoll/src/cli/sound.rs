//! The words of the commands that make sound.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll cues`.
#[derive(Debug, Args)]
#[command(after_help = "\
A track is made to the sample: every cue begins at the sample nearest to its instant.\n\
FLAC (.flac) is recommended: exact and small. WAV (.wav) opens anywhere and is large; MP3 (.mp3) is\n\
for players that know nothing else. Beside the track lie its cue lists, .cues.csv and .cues.json.")]
pub struct Cues {
    /// Id of the test, as `plimsoll tests` lists it.
    pub id: String,
    /// The track to write: .flac (recommended), .wav or .mp3.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Write over files that are already there.
    #[arg(long)]
    pub replace: bool,
    /// What is spoken.
    #[command(flatten)]
    pub speech: Speech,
    /// Which part of the test.
    #[command(flatten)]
    pub part: Part,
    /// What sounds beside the cues, and how loud.
    #[command(flatten)]
    pub sound: Sounding,
}

/// What is spoken between the cues.
#[derive(Debug, Args)]
#[command(next_help_heading = "Speech")]
pub struct Speech {
    /// Language of the announcements: en, es, fr, de, pt, ja or ar.
    #[arg(long, value_name = "CODE", default_value = "en")]
    pub language: String,
    /// No speech at all.
    #[arg(long, conflicts_with_all = ["language", "voice", "announcements", "say_rest", "voice_gain"])]
    pub no_speech: bool,
    /// A folder of your own recordings, one clip a file (stage.wav, 14.wav); missing clips stay as
    /// they are.
    #[arg(long, value_name = "DIR")]
    pub voice: Option<PathBuf>,
    /// What is announced: none, stage or stage-and-bout [default: as the definition has it].
    #[arg(long, value_name = "WHICH")]
    pub announcements: Option<String>,
    /// Say "rest" after each finish.
    #[arg(long)]
    pub say_rest: bool,
    /// Level of the voice against the cues, -30 to 6 dB [default: -3].
    #[arg(long, value_name = "DB", allow_negative_numbers = true)]
    pub voice_gain: Option<f64>,
}

/// Which part of the test, and what comes before it.
#[derive(Debug, Args)]
#[command(next_help_heading = "Part of the test")]
pub struct Part {
    /// Start with the bout of this label.
    #[arg(long, value_name = "LABEL")]
    pub from: Option<String>,
    /// End after the bout with this label.
    #[arg(long, value_name = "LABEL", conflicts_with = "minutes")]
    pub until: Option<String>,
    /// Stop everybody after this many minutes, such as 6 or 7.5: a submaximal form.
    #[arg(long, value_name = "M")]
    pub minutes: Option<String>,
    /// Seconds counted down before the first start, 0 to 60 [default: as the definition has it].
    #[arg(long, value_name = "N")]
    pub countdown: Option<u32>,
    /// A minute of warm-up before the countdown.
    #[arg(long)]
    pub warm_up: bool,
}

/// What sounds beside the cues, and how the file is made.
#[derive(Debug, Args)]
#[command(next_help_heading = "Sound")]
pub struct Sounding {
    /// Samples a second: 44100 or 48000.
    #[arg(long, value_name = "HZ", default_value_t = 48_000)]
    pub rate: u32,
    /// Channels: 1, or 2 with the same sound on both [default: 1].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=2))]
    pub channels: Option<u16>,
    /// As --channels 2.
    #[arg(long, conflicts_with = "channels")]
    pub stereo: bool,
    /// Leave out the two soft ticks two seconds before a rest ends.
    #[arg(long)]
    pub no_recovery_end: bool,
    /// Leave out the tone code by which `plimsoll listen` recognises a recording.
    #[arg(long)]
    pub no_code: bool,
    /// A breath of noise under everything, for loudspeakers that fall asleep in silence.
    #[arg(long)]
    pub keep_awake: bool,
    /// Integrated loudness aimed at, -40 to -5 LUFS [default: -14].
    #[arg(long, value_name = "LUFS", allow_negative_numbers = true)]
    pub loudness: Option<f64>,
    /// Highest true peak, -9 to 0 dBTP; it wins over the loudness [default: -1].
    #[arg(long, value_name = "DBTP", allow_negative_numbers = true)]
    pub true_peak: Option<f64>,
}
