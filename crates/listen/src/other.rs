//! A track without codes: onsets of any steady pips, the strongest kinds first, against every ladder.
//! Says "not recognised" when no kind of pip makes a ladder.

use std::io::{Read, Seek, Write};

use plimsoll_ladder::Catalogue;

use crate::error::ListenError;
use crate::foreign::{Options, Recogniser, Recognition, Verdict};
use crate::heard::SpeedPiece;
use crate::heard::{Heard, Kind};
use crate::intake::Scratch;
use crate::listen::each_block;
use crate::onsets::{OnsetFinder, families};
use crate::worth;

/// Kinds of pip that are tried alone and together.
const KINDS: usize = 4;
/// Onsets nearer than this are one, s.
const ONE_S: f64 = 0.08;

/// Hears a track that is not ours.
pub(crate) fn hear<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    recogniser: &Recogniser,
    catalogue: &Catalogue,
    expected: Option<&str>,
) -> Result<Heard, ListenError> {
    let mut finder = OnsetFinder::new();
    let mut onsets = Vec::new();
    each_block(scratch, |block| onsets.extend(finder.push(block)))?;
    onsets.extend(finder.finish());
    let families = families(&onsets);
    let kinds: Vec<Vec<f64>> = families
        .iter()
        .take(KINDS)
        .map(|f| f.onsets.iter().map(|o| o.time_s).collect())
        .collect();
    let mut sets: Vec<Vec<f64>> = Vec::new();
    for count in 1..=kinds.len() {
        sets.push(joined(&kinds[..count]));
    }
    sets.extend(
        kinds
            .iter()
            .skip(1)
            .map(|k| joined(std::slice::from_ref(k))),
    );
    sets.push(onsets.iter().map(|o| o.time_s).collect());
    let options = Options::default();
    let tried = sets.iter().map(|set| recogniser.recognise(set, &options));
    let named = tried.filter(|r| r.verdict != Verdict::NotRecognised);
    // The most cues explained, and the fewest sounds left over.
    let best = named.max_by_key(|r| r.matched * 3 - r.false_onsets.min(r.matched));
    Ok(best.map_or_else(Heard::nothing, |r| heard(&r, catalogue, expected)))
}

fn joined(kinds: &[Vec<f64>]) -> Vec<f64> {
    let mut times: Vec<f64> = kinds.iter().flatten().copied().collect();
    times.sort_by(f64::total_cmp);
    times.dedup_by(|later, earlier| *later - *earlier < ONE_S);
    times
}

fn heard(found: &Recognition, catalogue: &Catalogue, expected: Option<&str>) -> Heard {
    let (kind, test, shared) = match &found.verdict {
        Verdict::Recognised { id } => (Kind::Foreign, Some(id.clone()), Vec::new()),
        // The test that was to be played is among those it may be: it is taken to be that one.
        Verdict::Shared { ids } => {
            let wanted = expected.filter(|id| ids.iter().any(|i| i == id));
            (Kind::Shared, wanted.map(str::to_owned), ids.clone())
        }
        Verdict::NotRecognised => (Kind::NotRecognised, None, Vec::new()),
    };
    let of = test.as_deref().unwrap_or(&found.offset_of);
    let speeds = catalogue
        .get(of)
        .and_then(|t| Some((t, t.ladder()?)))
        .map(|(test, ladder)| {
            let last = ladder.last().map_or(1, |b| b.number);
            SpeedPiece {
                from_bout: 1,
                to_bout: last,
                error_ppm: found.speed_error_ppm,
                standard_error_ppm: (found.speed_interval_ppm.1 - found.speed_interval_ppm.0)
                    / 3.92,
                worth_bouts: worth::bouts(test, last / 2 + 1, found.speed_error_ppm),
            }
        });
    Heard {
        kind,
        shared,
        offset_s: (!found.offset_ambiguous).then_some(found.offset_s),
        speed_error_ppm: Some(found.speed_error_ppm),
        speed_interval_ppm: Some(found.speed_interval_ppm),
        cues_heard: found.matched,
        cues_expected: found.expected,
        residual_ms: Some(found.residual_ms),
        posterior: found.posterior.clone(),
        speeds: speeds.into_iter().collect(),
        test,
        ..Heard::nothing()
    }
}
