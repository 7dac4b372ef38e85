//! Waves, lanes and assessors, dealt and then improved by local search with a fixed seed.
//! Keeps runners of similar results together in a wave; never worse than the deal it starts from.

use plimsoll_measure::planning::{Rungs, Runner, share_out, split_waves, stops};

use super::PlanningError;
use crate::test_day::{Expected, Plan, dealt_wave, first_blocks};

/// The seed: the same roster gives the same plan.
const SEED: u64 = 0x504C_414E;
/// SD of a runner's next distance, ln scale, where nothing better is known: two typical errors of
/// about 7 % (derived from the defaults of the references).
const USUAL_SD: f64 = 0.10;
/// SD of a newcomer among newcomers. Common practice, no source.
const NEWCOMER_SD: f64 = 0.35;

/// A plan with what the search gained.
#[derive(Debug, Clone, PartialEq)]
pub struct Dealt {
    /// The plan.
    pub plan: Plan,
    /// Expected pairs of stops of one assessor that fall together, as first dealt.
    pub together_before: f64,
    /// The same of the plan.
    pub together: f64,
    /// Expected bouts with a single runner, as first dealt.
    pub alone_before: f64,
    /// The same of the plan.
    pub alone: f64,
    /// Exchanges tried.
    pub tried: u64,
}

/// A runner to be placed.
struct Placed<'a> {
    expected: &'a Expected,
    runner: Runner,
    chances: Vec<f64>,
}

/// Returns a runner for who is expected to complete so many bouts, or for a newcomer.
pub fn expected_of(bouts: Option<u32>, middle: u32, rungs: &Rungs) -> Option<Runner> {
    let (done, sd) = bouts.map_or((middle, NEWCOMER_SD), |b| (b, USUAL_SD));
    let done = (done as usize).min(rungs.bouts());
    Runner::new(rungs.middle_ln(done), sd).ok()
}

/// Returns a plan with few stops together on one assessor and few bouts run alone.
///
/// `predicted` gives the prediction of a runner, where there is one better than the expected bouts.
/// The plan depends on nothing but the arguments, whatever the order of the runners.
///
/// # Errors
///
/// [`PlanningError`] when there are too many runners.
pub fn deal_with(
    test: &str,
    runners: &[Expected],
    predicted: &dyn Fn(&Expected) -> Option<Runner>,
    rungs: &Rungs,
    lanes: u16,
    assessors: u16,
) -> Result<Dealt, PlanningError> {
    let lanes = usize::from(lanes.max(1));
    let hands = usize::from(assessors.max(1));
    let placed = placed(runners, predicted, rungs);
    let waves = placed.len().div_ceil(lanes).max(1);
    let size = placed.len().div_ceil(waves).max(1);
    let sizes: Vec<usize> = placed.chunks(size).map(<[_]>::len).collect();
    let chances: Vec<Vec<f64>> = placed.iter().map(|p| p.chances.clone()).collect();
    // A cut moves only so far that no wave is left with few.
    let least = (size / 2).max(hands).min(size);
    let splits = split_waves(&chances, &sizes, least, lanes)?;
    let first = improved(&placed, &sizes, hands)?;
    let moved = if splits.sizes == sizes {
        None
    } else {
        Some(improved(&placed, &splits.sizes, hands)?)
    };
    // Moving a cut must not cost more stops together than the first deal had.
    let (best, sizes, alone) = match moved {
        Some(moved) if moved.after <= first.before => (moved, &splits.sizes, splits.alone),
        _ => (first.clone(), &sizes, splits.alone_at_start),
    };
    let mut from = 0;
    let mut planned = Vec::new();
    for ((size, block), number) in sizes.iter().zip(&best.blocks).zip(1..) {
        let group: Vec<&Expected> = placed[from..from + size]
            .iter()
            .map(|p| p.expected)
            .collect();
        planned.push(dealt_wave(&group, block, number));
        from += size;
    }
    Ok(Dealt {
        plan: Plan {
            format: 1,
            test: test.to_owned(),
            waves: planned,
        },
        together_before: first.before,
        together: best.after,
        alone_before: splits.alone_at_start,
        alone,
        tried: first.tried + best.tried,
    })
}

fn placed<'a>(
    runners: &'a [Expected],
    predicted: &dyn Fn(&Expected) -> Option<Runner>,
    rungs: &Rungs,
) -> Vec<Placed<'a>> {
    let mut known: Vec<u32> = runners.iter().filter_map(|r| r.bouts).collect();
    known.sort_unstable();
    let middle = known.get(known.len() / 2).copied();
    let middle = middle.unwrap_or((rungs.bouts() / 2) as u32);
    let mut placed: Vec<Placed<'_>> = runners
        .iter()
        .filter_map(|expected| {
            let runner =
                predicted(expected).or_else(|| expected_of(expected.bouts, middle, rungs))?;
            Some(Placed {
                chances: stops(&runner, rungs),
                expected,
                runner,
            })
        })
        .collect();
    placed.sort_by(|a, b| {
        let keys = |p: &Placed<'_>| (p.expected.person.clone(), p.expected.bib.clone());
        a.runner
            .mean()
            .total_cmp(&b.runner.mean())
            .then_with(|| keys(a).cmp(&keys(b)))
    });
    placed
}

#[derive(Clone)]
struct Improved {
    blocks: Vec<Vec<usize>>,
    before: f64,
    after: f64,
    tried: u64,
}

fn improved(
    placed: &[Placed<'_>],
    sizes: &[usize],
    hands: usize,
) -> Result<Improved, PlanningError> {
    let mut all = Improved {
        blocks: Vec::new(),
        before: 0.0,
        after: 0.0,
        tried: 0,
    };
    let mut from = 0;
    for size in sizes {
        let wave = &placed[from..from + size];
        from += size;
        let chances: Vec<Vec<f64>> = wave.iter().map(|p| p.chances.clone()).collect();
        let search = share_out(&chances, &first_blocks(wave.len(), hands), SEED)?;
        all.before += search.start.cost;
        all.after += search.best.cost;
        all.tried += search.tried;
        all.blocks.push(search.best.block);
    }
    Ok(all)
}
