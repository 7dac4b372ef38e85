//! What the command line says about a track, and the user's own recordings.

use std::path::Path;

use plimsoll_sound::voice::{Language, Voice};
use plimsoll_sound::{Script, TrackOptions, Until};

use crate::cli::{Cues, Speech};
use crate::failure::Failure;

/// Most recordings a folder may hold: there are fewer clips than this.
const MOST_RECORDINGS: usize = 200;
/// Most bytes of all recordings together.
const MOST_BYTES: u64 = 256 << 20;
/// Endings of recordings that can be read.
const ENDINGS: [&str; 4] = ["wav", "flac", "ogg", "mp3"];

/// Returns what is chosen; ranges are checked by the plan.
pub fn options(args: &Cues) -> Result<TrackOptions, Failure> {
    let (speech, part, sound) = (&args.speech, &args.part, &args.sound);
    let mut options = TrackOptions {
        rate: sound.rate,
        from: part.from.clone(),
        until: part.until.clone().map(Until::Label),
        countdown_s: part.countdown,
        warm_up: part.warm_up,
        script: speech.announcements.as_deref().map(script).transpose()?,
        say_rest: speech.say_rest,
        recovery_end: !sound.no_recovery_end,
        bed: sound.keep_awake,
        code: !sound.no_code,
        ..TrackOptions::default()
    };
    if let Some(written) = &part.minutes {
        options.until = Some(Until::Seconds(seconds(written)?));
    }
    if let Some(gain) = speech.voice_gain {
        options.voice_gain_db = gain;
    }
    if let Some(loudness) = sound.loudness {
        options.loudness.target_lufs = loudness;
    }
    if let Some(peak) = sound.true_peak {
        options.loudness.ceiling_dbtp = peak;
    }
    Ok(options)
}

fn script(written: &str) -> Result<Script, Failure> {
    Script::from_word(&written.replace('-', "_")).ok_or_else(|| {
        Failure::new(format!("--announcements is `{written}`"))
            .hint("use none, stage or stage-and-bout")
    })
}

/// Returns whole seconds of a number of minutes, computed in whole numbers.
fn seconds(written: &str) -> Result<u32, Failure> {
    let bad = |why: &str| {
        Failure::new(format!("--minutes is `{written}`, {why}"))
            .hint("write minutes that make whole seconds: 6, 7.5 or 0.25")
    };
    let text = written.trim();
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |t: &str| !t.is_empty() && t.len() <= 6 && t.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || !digits(part) {
        return Err(bad("not a number of minutes"));
    }
    let scale = 10_u64.pow(u32::try_from(part.len()).unwrap_or(0));
    let number: u64 = format!("{whole}{part}").parse().map_err(Failure::new)?;
    if !(number * 60).is_multiple_of(scale) {
        return Err(bad("not a whole number of seconds"));
    }
    u32::try_from(number * 60 / scale).map_err(Failure::new)
}

/// Returns the voice, unless nothing is to be spoken, and what was left out of its folder.
pub fn voice(speech: &Speech) -> Result<(Option<Voice>, Vec<String>), Failure> {
    if speech.no_speech {
        return Ok((None, Vec::new()));
    }
    let language: Language = speech.language.parse().map_err(Failure::new)?;
    let voice = Voice::built_in(language).map_err(Failure::new)?;
    let Some(folder) = &speech.voice else {
        return Ok((Some(voice), Vec::new()));
    };
    let (files, others) = recordings(folder)?;
    let voice = voice.with_recordings(files).map_err(Failure::new)?;
    let notes = (!others.is_empty()).then(|| {
        format!(
            "not read as recordings, since they end in none of .{}: {}",
            ENDINGS.join(", ."),
            others.join(", ")
        )
    });
    Ok((Some(voice), notes.into_iter().collect()))
}

/// Recordings by name, and the names of other files.
type Folder = (Vec<(String, Vec<u8>)>, Vec<String>);

fn recordings(folder: &Path) -> Result<Folder, Failure> {
    let at = |e: std::io::Error| {
        Failure::new(format!("{}: {e}", folder.display()))
            .hint("name a folder of recordings that can be read")
    };
    let mut files = Vec::new();
    let mut others = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(at)? {
        let path = entry.map_err(at)?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let ending = path.extension().unwrap_or_default().to_string_lossy();
        let known = ENDINGS.contains(&ending.to_ascii_lowercase().as_str());
        if known && path.is_file() && !name.starts_with('.') {
            files.push((name.into_owned(), path));
        } else if !name.starts_with('.') {
            others.push(name.into_owned());
        }
    }
    files.sort();
    others.sort();
    let wrong = |found: String, allowed: String| {
        Failure::new(format!("{}: {found}; allowed {allowed}", folder.display()))
            .hint("is this the folder with one recording for each clip?")
    };
    if files.is_empty() || files.len() > MOST_RECORDINGS {
        let found = format!("{} recordings", files.len());
        return Err(wrong(found, format!("are 1 to {MOST_RECORDINGS}")));
    }
    let sizes = files
        .iter()
        .map(|(_, p)| std::fs::metadata(p).map_or(0, |m| m.len()));
    let bytes: u64 = sizes.sum();
    if bytes > MOST_BYTES {
        let found = format!("{bytes} bytes of recordings");
        return Err(wrong(found, format!("are {MOST_BYTES}")));
    }
    let read = |(name, path)| std::fs::read(path).map(|bytes| (name, bytes)).map_err(at);
    let files = files.into_iter().map(read).collect::<Result<_, _>>()?;
    Ok((files, others))
}

#[cfg(test)]
mod tests {
    use super::seconds;

    #[test]
    fn minutes_make_whole_seconds_or_are_refused() {
        let whole = |text: &str| seconds(text).ok();
        assert_eq!(whole("6"), Some(360));
        assert_eq!(whole("7.50"), Some(450));
        assert_eq!(whole("0.05"), Some(3));
        for bad in [
            "0.01", "6.51", "-6", "6:30", "", ".", "6.", "1e2", "9999999",
        ] {
            assert_eq!(whole(bad), None, "{bad}");
        }
    }
}
