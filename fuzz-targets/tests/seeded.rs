//! Seeded fuzzing of every reader: real files, mutated from a fixed seed. No reader may panic, and
//! none may take long or much memory over a small file.

#![expect(
    clippy::print_stdout,
    reason = "the tally of a run is for a person to read"
)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use plimsoll_archive::{Archive, Membership, PersonFacts, World};
use plimsoll_desk::test_day::rehearsal::taps;
use plimsoll_desk::test_day::{Expected, deal, opening};
use plimsoll_fuzz_targets::TARGETS;
use plimsoll_judge::{DeviceId, Event, Fold, Role, VERSION, What};
use plimsoll_ladder::Catalogue;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Cases for each reader in the test command; `PLIMSOLL_FUZZ_CASES` asks for more.
const CASES: usize = 1_000;
/// Reading an export makes a database each time, and a word a whole voice: so many times fewer
/// cases.
const SLOW_SHARE: usize = 10;
/// Words that readers look for.
const WORDS: [&str; 24] = [
    "14.10",
    "14.1",
    "1e308",
    "-1",
    "NaN",
    "99999999999999999999",
    "\u{feff}",
    "\"",
    "\r",
    ";",
    "\t",
    "[[stage]]",
    "= {",
    "2026-02-30",
    "31/31/31",
    "≥ 560",
    "0",
    "level",
    "Distance (m)",
    "\0",
    "=cmd()",
    "confidence = \"source read\"",
    "1970-01-01",
    "😀",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Returns the bytes of every file of a folder with an ending.
fn seeds(folder: &str, ending: &str) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(root().join(folder))
        .expect("folder")
        .map(|e| e.expect("entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == ending))
        .collect();
    paths.sort();
    paths
        .iter()
        .map(|p| std::fs::read(p).expect("file"))
        .collect()
}

struct Fixed;

impl World for Fixed {
    fn now_ms(&self) -> i64 {
        1_700_000_000_000
    }

    fn new_id(&self) -> uuid::Uuid {
        static NEXT: std::sync::atomic::AtomicU64 = std::sync::atomic::AtomicU64::new(1);
        let n = NEXT.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        uuid::Builder::from_unix_timestamp_millis(
            1_700_000_000_000,
            &n.to_be_bytes().repeat(2)[..10]
                .try_into()
                .expect("ten bytes"),
        )
        .into_uuid()
    }

    fn who(&self) -> String {
        "fuzz".to_owned()
    }
}

/// Returns a real export as one text.
fn real_export() -> Vec<u8> {
    let folder = tempfile::tempdir().expect("folder");
    let mut archive = Archive::create(folder.path().join("a"), Fixed).expect("archive");
    for name in ["Sol Heron", "Tove Birk"] {
        let facts = PersonFacts {
            called_name: name.to_owned(),
            ..PersonFacts::default()
        };
        let squad = Membership {
            squad: "U19".to_owned(),
            from: None,
            to: None,
        };
        archive.add_person(&facts, &[squad]).expect("person");
    }
    let to = folder.path().join("export");
    archive.export(&to).expect("export");
    let mut out = Vec::new();
    let mut names: Vec<PathBuf> = std::fs::read_dir(&to)
        .expect("folder")
        .map(|e| e.expect("entry").path())
        .collect();
    names.retain(|p| p.is_file());
    names.sort();
    for path in names {
        let name = path
            .file_name()
            .expect("name")
            .to_string_lossy()
            .into_owned();
        out.extend(format!("=== {name}\n").into_bytes());
        out.extend(std::fs::read(&path).expect("file"));
    }
    out
}

/// Returns the log of a rehearsed wave.
fn real_log() -> Vec<u8> {
    let catalogue = Catalogue::built_in();
    let test = catalogue.get("ir1").expect("shipped");
    let runners: Vec<Expected> = (1..=8u32)
        .map(|n| Expected {
            person: Fixed.new_id().to_string(),
            bib: Some(n.to_string()),
            bouts: Some(n),
        })
        .collect();
    let plan = deal("ir1", &runners, 8, 2);
    let names: BTreeMap<String, String> = runners
        .iter()
        .map(|runner| (runner.person.clone(), "Sol".to_owned()))
        .collect();
    let opened =
        opening(&plan.waves[0], test, &catalogue, &names, &BTreeMap::new()).expect("opens");
    let fold = Fold::new(test).expect("paced");
    let lanes = opened.lanes.iter().map(|lane| lane.lane).collect();
    let taps = taps(&opened, fold.index(), 7);
    let plan = Box::new(opened);
    let mut whats = vec![
        (None, What::Opened { plan }),
        (Some(0), What::Started { lanes }),
    ];
    whats.extend(taps.into_iter().map(|tap| (Some(tap.cue_ms), tap.what)));
    let mut log = String::new();
    for ((cue_ms, what), n) in whats.into_iter().zip(1..) {
        let event = Event {
            v: VERSION,
            id: Fixed.new_id(),
            device: DeviceId("fuzz".to_owned()),
            seq: n,
            order: n,
            at_ms: 1_700_000_000_000,
            cue_ms,
            cue_pm_ms: cue_ms.map(|_| 5),
            role: Role::Lead,
            by: None,
            what,
        };
        log += &event.to_line();
        log.push('\n');
    }
    log.into_bytes()
}

fn seeds_of(target: &str) -> Vec<Vec<u8>> {
    match target {
        "definition" => {
            let mut all = seeds("protocols", "toml");
            all.extend(seeds("crates/ladder/tests/corpus", "case"));
            all
        }
        "sheet_text" => {
            let mut all = seeds("crates/examine/tests/fixtures", "csv");
            all.extend(seeds("demo/days", "csv"));
            all
        }
        "sheet_xlsx" => seeds("demo/days", "xlsx"),
        // Few open-document sheets are at hand: any zip, and the start of one.
        "sheet_ods" => {
            let mut all = seeds("demo/days", "xlsx");
            all.extend(seeds("crates/examine/tests/fixtures", "ods"));
            all
        }
        "reference" => seeds("references/populations", "toml")
            .into_iter()
            .zip(seeds("references/populations", "csv"))
            .map(|(header, table)| [&header[..], b"\n---\n", &table[..]].concat())
            .collect(),
        "day" => seeds("demo/days", "toml"),
        "export" => vec![real_export()],
        "events" => vec![real_log()],
        "recording" => [
            "wav", "mp3", "aac", "m4a", "mp4", "mov", "ogg", "opus", "webm", "mkv",
        ]
        .into_iter()
        .flat_map(|ending| seeds("crates/listen/tests/fixtures", ending))
        .collect(),
        "voice_clip" => ["flac", "mp3", "ogg"]
            .into_iter()
            .flat_map(|ending| seeds("crates/sound/tests/it", ending))
            .collect(),
        other => panic!("no seeds for {other}"),
    }
}

/// Changes bytes in one to eight ways.
fn mutate(rng: &mut ChaCha8Rng, seed: &[u8], other: &[u8]) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    for _ in 0..rng.random_range(1..=8) {
        let at = if bytes.is_empty() {
            0
        } else {
            rng.random_range(0..bytes.len())
        };
        match rng.random_range(0..7) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << rng.random_range(0..8),
            1 => bytes.truncate(at),
            2 => {
                let word = WORDS[rng.random_range(0..WORDS.len())];
                bytes.splice(at..at, word.bytes());
            }
            3 if !other.is_empty() => {
                let from = rng.random_range(0..other.len());
                let to = (from + rng.random_range(1..200)).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
            4 => {
                let to = (at + rng.random_range(1..40)).min(bytes.len());
                bytes.drain(at..to);
            }
            5 => {
                let to = (at + rng.random_range(1..60)).min(bytes.len());
                let again = bytes[at..to].repeat(rng.random_range(1..20));
                bytes.splice(at..at, again);
            }
            _ => bytes.insert(at, rng.random()),
        }
    }
    bytes.truncate(200_000);
    bytes
}

#[test]
fn every_reader_survives_mutated_files() {
    let wanted = std::env::var("PLIMSOLL_FUZZ_CASES")
        .ok()
        .and_then(|n| n.parse().ok());
    let cases: usize = wanted.unwrap_or(CASES);
    let target =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from);
    let failures = target.join("fuzz-failures");
    let mut failed = Vec::new();
    for (n, (name, read)) in TARGETS.into_iter().enumerate() {
        let seeds = seeds_of(name);
        assert!(!seeds.is_empty(), "{name} has no seeds");
        let mut rng = ChaCha8Rng::seed_from_u64(2026 + n as u64);
        let share = if matches!(name, "export" | "voice_clip") {
            SLOW_SHARE
        } else {
            1
        };
        for case in 0..cases.div_ceil(share) {
            let seed = &seeds[rng.random_range(0..seeds.len())];
            let other = &seeds[rng.random_range(0..seeds.len())];
            let bytes = mutate(&mut rng, seed, other);
            if std::panic::catch_unwind(|| read(&bytes)).is_err() {
                std::fs::create_dir_all(&failures).expect("folder");
                let path = failures.join(format!("{name}-{case}"));
                std::fs::write(&path, &bytes).expect("file");
                failed.push(path);
                break;
            }
        }
        println!(
            "{name}: {} cases from {} real files",
            cases.div_ceil(share),
            seeds.len()
        );
    }
    assert!(
        failed.is_empty(),
        "readers that panicked; the files: {failed:?}"
    );
}

#[test]
fn real_files_are_read_by_their_reader() {
    for (name, read) in TARGETS {
        for seed in seeds_of(name) {
            read(&seed);
        }
    }
}
