//! The files of a track: refused when they are there, written beside their place, then renamed.

use std::fs::File;
use std::path::{Path, PathBuf};

use plimsoll_ladder::{Instant, Span};
use plimsoll_sound::file::{Chapter, Format, Tags, Writer};
use plimsoll_sound::{render, sample_at};
use serde_json::Value;

use super::{Track, document};
use crate::failure::Failure;

/// Where the track and its cue lists go.
pub struct Places {
    track: PathBuf,
    csv: PathBuf,
    json: PathBuf,
}

impl Places {
    /// Returns the places beside a track, or why they cannot be used.
    pub fn new(track: &Path, replace: bool) -> Result<Self, Failure> {
        // The whole name stays: a track as FLAC and as MP3 has two lists.
        let beside = |ending: &str| {
            let mut name = track.as_os_str().to_owned();
            name.push(ending);
            PathBuf::from(name)
        };
        let places = Self {
            csv: beside(".cues.csv"),
            json: beside(".cues.json"),
            track: track.to_owned(),
        };
        let folder = track.parent().filter(|p| !p.as_os_str().is_empty());
        if let Some(folder) = folder.filter(|p| !p.is_dir()) {
            let message = format!("{}: there is no such folder", folder.display());
            return Err(Failure::new(message).hint("make the folder, or name another"));
        }
        for path in places.all() {
            let there = path.symlink_metadata().is_ok();
            if path.is_dir() || (there && !replace) {
                return Err(Failure::new(format!("{} is already there", path.display()))
                    .hint("name another file, or write over it with --replace"));
            }
        }
        Ok(places)
    }

    /// Returns the track, its table and its document.
    pub fn all(&self) -> [&Path; 3] {
        [&self.track, &self.csv, &self.json]
    }
}

/// A file being written beside its place; taken away again unless it gets there.
struct Beside<'a> {
    path: PathBuf,
    place: &'a Path,
    there: bool,
}

impl<'a> Beside<'a> {
    fn new(place: &'a Path) -> Self {
        let name = place.file_name().unwrap_or_default().to_string_lossy();
        Self {
            path: place.with_file_name(format!(".{name}.part")),
            place,
            there: false,
        }
    }

    /// Renames it into its place.
    fn put(mut self) -> Result<(), Failure> {
        std::fs::rename(&self.path, self.place).map_err(at(self.place))?;
        self.there = true;
        Ok(())
    }
}

impl Drop for Beside<'_> {
    fn drop(&mut self) {
        if !self.there {
            // It may never have been made.
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

fn at(path: &Path) -> impl Fn(std::io::Error) -> Failure {
    move |e| {
        Failure::new(format!("{}: {e}", path.display())).hint("check the folder and the free space")
    }
}

/// Writes the track and its lists: each comes into place only when all three are whole.
pub fn write(
    track: &Track<'_>,
    format: Format,
    places: &Places,
    document: &Value,
) -> Result<(), Failure> {
    let [sound, table, list] = places.all().map(Beside::new);
    let file = File::create(&sound.path).map_err(at(&places.track))?;
    let mut writer = Writer::create(format, file, &track.spec, &tags(track), &chapters(track))
        .map_err(Failure::new)?;
    render(&track.plan, track.levels.gain_db, &mut writer).map_err(Failure::new)?;
    let file = writer.finish().map_err(Failure::new)?;
    file.sync_all().map_err(at(&places.track))?;
    drop(file);
    std::fs::write(&table.path, document::csv(track)?).map_err(at(&places.csv))?;
    std::fs::write(&list.path, format!("{document:#}\n")).map_err(at(&places.json))?;
    sound.put()?;
    table.put()?;
    list.put()
}

fn tags(track: &Track<'_>) -> Tags {
    let plan = &track.plan;
    let made_by = format!("plimsoll {}", env!("CARGO_PKG_VERSION"));
    let language = track.language.map_or("none", |l| l.code());
    Tags {
        title: plan.name.clone(),
        comment: format!(
            "fingerprint {}; announcements {}; language {language}; made by {made_by}; \
             loudness {:.1} LUFS, true peak {:.1} dBTP",
            plan.fingerprint,
            plan.script.as_str(),
            track.levels.integrated_lufs,
            track.levels.true_peak_dbtp,
        ),
        fields: vec![("ENCODER".to_owned(), made_by)],
    }
}

/// Returns a chapter for each stage that has a bout in the track, from the first such bout.
fn chapters(track: &Track<'_>) -> Vec<Chapter> {
    let plan = &track.plan;
    let Some(ladder) = track.test.ladder() else {
        return Vec::new();
    };
    let in_track =
        |at: Instant| Span::from_nanos(plan.lead.as_nanos() + at.since(plan.start).as_nanos());
    let end = plan.cues.last().map_or(plan.lead, |cue| cue.at);
    let mut out: Vec<Chapter> = Vec::new();
    let mut before = None;
    for bout in ladder.bouts() {
        let at = in_track(bout.start);
        if at < plan.lead || at >= end || before == Some(bout.stage) {
            continue;
        }
        before = Some(bout.stage);
        let at = sample_at(at, plan.rate);
        if let Some(earlier) = out.last_mut() {
            earlier.end = at;
        }
        let label = ladder.stages().get(bout.stage).map(|s| s.label.as_str());
        out.push(Chapter {
            at,
            end: plan.samples,
            title: format!(
                "Stage {}, {} km/h",
                label.unwrap_or_default(),
                crate::print::short(bout.speed.as_kmh_f64(), 2)
            ),
        });
    }
    out
}
