//! Every reader of the program as a function of bytes: it may refuse, and must not panic.
//! Used by the seeded cases of the test command and by the coverage-guided targets beside it.

use std::path::Path;
use std::sync::OnceLock;

use jiff::civil::date;
use plimsoll_archive::Archive;
use plimsoll_desk::day_card;
use plimsoll_examine::{Options, Rule, examine_bytes};
use plimsoll_judge::{Event, Fold};
use plimsoll_ladder::Catalogue;

/// A reader: its name and what it does with bytes.
pub type Target = (&'static str, fn(&[u8]));

/// Every reader.
pub const TARGETS: [Target; 10] = [
    ("definition", definition),
    ("sheet_text", sheet_text),
    ("sheet_xlsx", sheet_xlsx),
    ("sheet_ods", sheet_ods),
    ("reference", reference),
    ("day", day),
    ("export", export),
    ("recording", recording),
    ("voice_clip", voice_clip),
    ("events", events),
];

/// Returns the built-in tests, made once.
fn catalogue() -> &'static Catalogue {
    static CATALOGUE: OnceLock<Catalogue> = OnceLock::new();
    CATALOGUE.get_or_init(Catalogue::built_in)
}

/// Reads a test definition and, if it is one, makes its cues.
pub fn definition(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes).into_owned();
    if let Ok(catalogue) = Catalogue::with_user_files(&[("fuzz.toml".to_owned(), text)]) {
        for test in catalogue.iter().filter(|t| !t.is_built_in()) {
            let _ = (test.cues().len(), test.fingerprint(), test.marks().len());
        }
    }
}

fn sheet(name: &str, bytes: &[u8]) {
    let mut options = Options::new(catalogue()).with_test("ir1");
    options.rules = Rule::ALL.into_iter().collect();
    if let Ok(found) = examine_bytes(name, bytes, &options) {
        let _ = (found.people().count(), found.results().count());
    }
}

/// Examines text: CSV, TSV and their kin.
pub fn sheet_text(bytes: &[u8]) {
    sheet("fuzz.csv", bytes);
}

/// Examines a workbook.
pub fn sheet_xlsx(bytes: &[u8]) {
    sheet("fuzz.xlsx", bytes);
}

/// Examines an open-document sheet.
pub fn sheet_ods(bytes: &[u8]) {
    sheet("fuzz.ods", bytes);
}

/// Reads a reference: header and table, divided by a line of three dashes.
pub fn reference(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let (header, table) = text.split_once("\n---\n").unwrap_or((&text, ""));
    let mut facts = plimsoll_interpret::Catalogue::default();
    let _ = facts.add([("fuzz.toml", header), ("fuzz.csv", table)]);
}

/// Reads a day card.
pub fn day(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    if let Some(test) = catalogue().get("ir1") {
        let _ = day_card("fuzz.toml", &text, date(2026, 11, 21), test);
    }
}

/// Most samples decoded from one case: a minute at 48 kHz.
const MOST_SAMPLES: u64 = 48_000 * 60;

/// Decodes a recording, at most a minute of it. The file's own first bytes say its format.
pub fn recording(bytes: &[u8]) {
    let source = Box::new(std::io::Cursor::new(bytes.to_vec()));
    let Ok(mut recording) = plimsoll_listen::read::open(source, None) else {
        return;
    };
    let mut block = Vec::new();
    while recording.samples() < MOST_SAMPLES {
        block.clear();
        if !recording.next(&mut block).unwrap_or(false) {
            break;
        }
        assert!(block.iter().all(|s| s.is_finite()), "samples are numbers");
    }
    let _ = (
        recording.clipped(),
        recording.damaged(),
        recording.codec().len(),
    );
}

/// Reads a person's own recording of a word.
pub fn voice_clip(bytes: &[u8]) {
    use plimsoll_sound::voice::{Language, Voice};
    if let Ok(voice) = Voice::built_in(Language::English) {
        let _ = voice.with_recordings([("stage.wav".to_owned(), bytes.to_vec())]);
    }
}

/// Restores an export: files one after another, each under a line `=== name`.
pub fn export(bytes: &[u8]) {
    let Ok(folder) = tempfile::tempdir() else {
        return;
    };
    let from = folder.path().join("export");
    if std::fs::create_dir(&from).is_err() {
        return;
    }
    let text = String::from_utf8_lossy(bytes);
    for part in text.split("=== ").skip(1) {
        let (name, body) = part.split_once('\n').unwrap_or((part, ""));
        let plain = name.trim();
        let fine = plain.len() < 64
            && plain
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'-' | b'_'))
            && !plain.starts_with('.');
        if fine && !plain.is_empty() {
            let _ = std::fs::write(from.join(plain), body);
        }
    }
    let to = folder.path().join("archive");
    if Archive::restore(Path::new(&from), &to).is_ok() {
        let findings = Archive::open_reader(&to).and_then(|a| a.check());
        assert!(findings.is_ok(), "what was restored can be checked");
    }
}

/// Reads a log of events, one a line, and folds what can be read.
pub fn events(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let read: Vec<Event> = text
        .lines()
        .filter_map(|line| Event::read(line).ok())
        .collect();
    let Some(fold) = catalogue().get("ir1").and_then(Fold::new) else {
        return;
    };
    let state = fold.state(&read);
    let _ = (state.results().len(), state.read_back().in_words());
    for event in &read {
        // What was read is written and read again as it was.
        assert_eq!(Event::read(&event.to_line()).as_ref(), Ok(event));
    }
}
