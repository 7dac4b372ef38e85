//! The ladders that may have been played, each with the instants at which it sounds.
//! Facts come from the catalogue alone.

use plimsoll_ladder::{Catalogue, Cue, CueKind};

/// A set of instants and whose it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Ids with exactly these instants, in catalogue order.
    pub ids: Vec<String>,
    /// Which cues sound, a name for people: `all cues`, `no stage cues`, …
    pub sounded: String,
    /// Prior weight among the candidates of one id, 0 to 1.
    pub weight: f64,
    /// Distinct instants, seconds of the true track, increasing.
    pub cues: Vec<f64>,
}

/// Cues nearer than this are one sound, seconds. Derived: shorter than any pip.
const ONE_SOUND: f64 = 0.02;

/// Ways in which a track may leave cues out, with prior weights (ours).
const VARIANTS: [(&str, f64, &[CueKind]); 5] = [
    ("all cues", 0.6, &[]),
    ("no stage cues", 0.15, &[CueKind::Stage]),
    ("no line cues", 0.1, &[CueKind::Stage, CueKind::Line]),
    (
        "no turn cues",
        0.1,
        &[CueKind::Stage, CueKind::Line, CueKind::Turn],
    ),
    ("no starts", 0.05, &[CueKind::Stage, CueKind::Start]),
];

/// Returns the candidates of every paced test: all cues, and with kinds of cue left out where
/// at least eight instants stay. Tests with the same instants make one candidate.
pub fn candidates(catalogue: &Catalogue) -> Vec<Candidate> {
    let mut all: Vec<Candidate> = Vec::new();
    for test in catalogue.iter() {
        let cues = test.cues();
        let mut own: Vec<Vec<f64>> = Vec::new();
        for (sounded, weight, without) in VARIANTS {
            let times = instants(&cues, without);
            if times.len() < 8 || own.contains(&times) {
                continue;
            }
            own.push(times.clone());
            let same = all
                .iter_mut()
                .find(|c| c.cues == times && c.sounded == sounded);
            if let Some(same) = same {
                same.ids.push(test.id().to_owned());
            } else {
                all.push(Candidate {
                    ids: vec![test.id().to_owned()],
                    sounded: sounded.to_owned(),
                    weight,
                    cues: times,
                });
            }
        }
    }
    all
}

/// Returns the distinct instants of the cues that are not left out, seconds.
fn instants(cues: &[Cue], without: &[CueKind]) -> Vec<f64> {
    let mut times: Vec<f64> = cues
        .iter()
        .filter(|cue| !without.contains(&cue.kind))
        .map(|cue| cue.at.as_secs_f64())
        .collect();
    times.dedup_by(|later, earlier| *later - *earlier < ONE_SOUND);
    times
}
