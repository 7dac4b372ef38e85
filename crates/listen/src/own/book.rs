//! Every word that a track of a known test can say, and the likeliest for what was heard.

use plimsoll_ladder::{Catalogue, Test};
use plimsoll_sound::{
    CODE_GAP_MS, CodeKind, Hearing, Payload, SYMBOLS, Script, Sound, Word, coded_cues,
};

/// Fewest places in which the word and the strongest tones agree. By chance a given word agrees in
/// nine of fifteen once in ten million.
const LEAST_AGREE: u32 = 8;
/// Places that make a word sure by itself.
const SURE: u32 = 11;

/// A track: its cues with a script, and the tests that have it.
#[derive(Debug, Clone)]
pub(crate) struct Edition {
    fingerprint: String,
    pub tests: Vec<String>,
    pub script: Script,
}

/// A word of an edition.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub edition: usize,
    word: Word,
    packed: u64,
    /// When its cue sounds, s from the first start of the test. "Stop" may come at any time and is
    /// not in the book.
    pub timeline_s: f64,
    /// From the onset of the cue to its code, s.
    pub code_after_s: f64,
}

/// Everything tracks can say.
#[derive(Debug, Default)]
pub(crate) struct Book {
    pub editions: Vec<Edition>,
    entries: Vec<Entry>,
}

/// A word read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reading {
    pub edition: usize,
    /// When the cue sounds on the timeline, s.
    pub timeline_s: f64,
    /// When the cue began in the recording, s.
    pub heard_s: f64,
    /// Whether it can stand alone.
    pub sure: bool,
}

impl Book {
    /// Collects the words of every paced test.
    pub fn new(catalogue: &Catalogue) -> Self {
        let mut book = Self::default();
        for test in catalogue.iter().filter(|t| t.shape().is_paced()) {
            for script in Script::ALL {
                book.add(test, script);
            }
        }
        book
    }

    fn add(&mut self, test: &Test, script: Script) {
        let print = test.fingerprint_with(script.as_str());
        let known = |e: &&mut Edition| e.fingerprint == print;
        if let Some(edition) = self.editions.iter_mut().find(known) {
            edition.tests.push(test.id().to_owned());
            return;
        }
        let Some(Ok(cues)) = Payload::ladder_bits(&print).map(|bits| coded_cues(test, bits)) else {
            return;
        };
        let edition = self.editions.len();
        self.editions.push(Edition {
            fingerprint: print,
            tests: vec![test.id().to_owned()],
            script,
        });
        for cue in &cues {
            let Some(word) = cue.payload.and_then(Word::of) else {
                continue;
            };
            self.entries
                .push(entry(edition, word, cue.sound, cue.at.as_secs_f64()));
        }
        // A continuous test cut in the middle begins with a start and ends with a finish where
        // the timeline has a turn.
        let turns = cues.iter().filter_map(|c| Some((c, c.payload?)));
        for (cue, payload) in
            turns.filter(|(_, p)| matches!(p.kind, CodeKind::Turn | CodeKind::Line))
        {
            let at = cue.at.as_secs_f64();
            let finish = Payload {
                kind: CodeKind::Finish,
                part: 0,
                ..payload
            };
            let start = Payload {
                kind: CodeKind::Start,
                part: 0,
                bout: payload.bout.saturating_add(1),
                ..payload
            };
            for (payload, sound) in [(finish, Sound::Finish), (start, Sound::Start)] {
                let new = cues.iter().all(|c| c.payload != Some(payload));
                if let Some(word) = Word::of(payload).filter(|_| new) {
                    self.entries.push(entry(edition, word, sound, at));
                }
            }
        }
    }

    /// Returns the likeliest word for what was heard, when it is likely enough.
    pub fn read(&self, at_s: f64, hearing: &Hearing, stretch: f64) -> Option<Reading> {
        let heard = pack(&std::array::from_fn(|i| loudest(&hearing[i])));
        let near = self.entries.iter().filter_map(|entry| {
            let agree = agreeing(entry.packed, heard);
            (agree >= LEAST_AGREE).then(|| (agree, entry.word.share(hearing), entry))
        });
        let (agree, _, entry) = near.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Reading {
            edition: entry.edition,
            timeline_s: entry.timeline_s,
            heard_s: at_s - entry.code_after_s * stretch,
            sure: agree >= SURE,
        })
    }
}

fn entry(edition: usize, word: Word, sound: Sound, timeline_s: f64) -> Entry {
    Entry {
        edition,
        word,
        packed: pack(word.tones()),
        timeline_s,
        code_after_s: f64::from(sound.length_ms() + CODE_GAP_MS) / 1000.0,
    }
}

/// Packs fifteen tones into four bits each.
fn pack(tones: &[u8; SYMBOLS]) -> u64 {
    tones
        .iter()
        .fold(0, |packed, tone| packed << 4 | u64::from(*tone))
}

/// Returns in how many of fifteen places two packed words agree.
const fn agreeing(a: u64, b: u64) -> u32 {
    let differ = a ^ b;
    let any = differ | differ >> 1 | differ >> 2 | differ >> 3;
    SYMBOLS as u32 - (any & 0x0111_1111_1111_1111).count_ones()
}

fn loudest(place: &[f32; 16]) -> u8 {
    let strongest = place.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
    strongest.map_or(0, |(i, _)| u8::try_from(i).unwrap_or(0))
}
