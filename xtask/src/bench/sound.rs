//! Tracks made and recordings listened to, beside numpy, soundfile and scipy.

use std::path::{Path, PathBuf};

use super::Line;
use super::measure::interleaved;
use crate::run::{program, step};

/// Measures rendering to WAV and FLAC, and listening.
pub fn lines(
    ours: &Path,
    python: &Path,
    scripts: &Path,
    folder: &Path,
) -> Result<Vec<Line>, String> {
    let folder = folder.join("sound");
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let at = |name: &str| folder.join(name);
    let cues = |out: PathBuf| -> Vec<PathBuf> {
        let words = ["cues", "ir1", "--no-speech", "--replace", "--out"];
        let mut all = vec![ours.to_owned()];
        all.extend(words.map(PathBuf::from));
        all.push(out);
        all
    };
    fn borrowed(words: &[PathBuf]) -> Vec<&Path> {
        words.iter().map(PathBuf::as_path).collect()
    }
    let wav = cues(at("ours.wav"));
    step("track to measure on", program(ours, &[]).args(&wav[1..]))?;
    let rendered = interleaved(
        3,
        &borrowed(&wav),
        &[
            python,
            &scripts.join("track.py"),
            &at("ours.wav.cues.json"),
            &at("peer.wav"),
        ],
    )?;
    let encoded = interleaved(
        3,
        &borrowed(&cues(at("ours.flac"))),
        &[
            python,
            &scripts.join("encode.py"),
            &at("ours.wav"),
            &at("peer.flac"),
        ],
    )?;
    step(
        "a bad recording of it",
        program(python, &[])
            .arg(scripts.join("badly.py"))
            .args([at("ours.wav"), at("bad.wav")]),
    )?;
    let heard = interleaved(
        3,
        &[
            ours,
            Path::new("listen"),
            &at("bad.wav"),
            Path::new("--json"),
        ],
        &[
            python,
            &scripts.join("listen.py"),
            &at("bad.wav"),
            &at("ours.wav.cues.json"),
        ],
    )?;
    Ok(vec![
        Line {
            job: "track of ir1 as WAV, 28.7 min at 48 kHz",
            peer: "numpy, pyloudnorm, soundfile".to_owned(),
            best: rendered,
            same: "every cue with its code, loudness by BS.1770, sixteen bits on disk; ours also reads and \
                   checks all definitions, measures the true peak and writes tags, chapters and cue lists",
        },
        Line {
            job: "the same track as FLAC",
            peer: "soundfile (libsndfile), the encoding alone".to_owned(),
            best: encoded,
            same: "the same samples; ours makes and measures them first, the peer reads them from a file",
        },
        Line {
            job: "listening to 28.8 min at 48 kHz, 0.3 % slow, 20 dB",
            peer: "scipy: overlap-add filter, peaks, vote, Theil-Sen".to_owned(),
            best: heard,
            same: "speed and offset; ours does not know which test it is, times all 273 cues and looks for \
                   gaps, the peer is given the test and times its finishes only. Speed is -2991.0269 ppm in \
                   truth: both are within 0.01 ppm",
        },
    ])
}
