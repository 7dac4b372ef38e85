//! The first arrival: a wall may have been read in the place of the loudspeaker.
//! Moves a run only when most of its cues say the same.

use std::io::{Read, Seek, Write};

use super::Wanted;
use super::chain::{Run, median};
use super::confirm::Confirmer;
use crate::error::ListenError;
use crate::intake::Scratch;

/// How far back an earlier arrival is looked for, in steps of a tenth of a second: 0.45 s is a wall
/// 75 m away.
const STEPS: u32 = 4;
/// Length of a step, s; the confirmer reaches 60 ms to either side.
const STEP_S: f64 = 0.1;
/// How much louder the earlier arrival must be.
const LOUDER: f64 = 1.05;
/// Cues of a run that are asked.
const ASKED: usize = 12;
/// How well their answers must agree, s.
const AGREE_S: f64 = 0.01;

/// Moves each run to its first arrival.
pub(super) fn first_arrivals<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    confirmer: &mut Confirmer,
    wanted: &[Wanted],
    runs: &mut [Run],
) -> Result<(), ListenError> {
    for run in runs {
        let (first, last) = run.span();
        let inside: Vec<&Wanted> = wanted
            .iter()
            .filter(|cue| (first..=last).contains(&cue.timeline_s))
            .collect();
        let step = (inside.len() / ASKED).max(1);
        let mut leads = Vec::new();
        let mut asked = 0;
        for cue in inside.iter().step_by(step) {
            asked += 1;
            leads.extend(lead(scratch, confirmer, cue, run)?);
        }
        let Some(lead) = median(leads.clone()) else {
            continue;
        };
        let agree = leads
            .iter()
            .filter(|l| (**l - lead).abs() < AGREE_S)
            .count();
        if 2 * agree > asked {
            for point in &mut run.points {
                point.1 -= lead;
            }
        }
    }
    Ok(())
}

/// Returns how much earlier a louder arrival of a cue came, s.
fn lead<F: Read + Write + Seek>(
    scratch: &mut Scratch<F>,
    confirmer: &mut Confirmer,
    cue: &Wanted,
    run: &Run,
) -> Result<Option<f64>, ListenError> {
    let (at, rate) = (run.heard(cue.timeline_s), run.rate(cue.timeline_s));
    let mut look = |at: f64| confirmer.look(scratch, cue.sound, &cue.word, at, rate);
    let Some(own) = look(at)? else {
        return Ok(None);
    };
    let mut best: Option<(f64, f64)> = None;
    for back in 1..=STEPS {
        if let Some(found) = look(at - STEP_S * f64::from(back))?
            && found.amplitude > LOUDER * own.amplitude
            && best.is_none_or(|(_, loudest)| found.amplitude > loudest)
        {
            best = Some((own.at_s - found.at_s, found.amplitude));
        }
    }
    Ok(best.map(|(lead, _)| lead))
}
