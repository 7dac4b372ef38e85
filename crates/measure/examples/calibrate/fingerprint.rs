//! Causes planted in a wave: named when clear, left open when two look alike, none when there is none.

use plimsoll_measure::squad::{
    Cause, CauseKind, Fingerprint, Runner, Suspect, Verdict, even_shape, fingerprint,
    learning_shape, training_shape,
};

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

const RUNS: usize = 1000;
const RUNNERS: usize = 20;
/// Clear sizes of the four causes, on logs.
const CLEAR: [f64; 4] = [-0.12, 0.15, 0.15, 0.018];
const NAMED: [&str; 4] = [
    "course length: named",
    "wind: named",
    "learning: named",
    "training: named",
];
const MISNAMED: [&str; 4] = [
    "course length: another named",
    "wind: another named",
    "learning: another named",
    "training: another named",
];
const SIZE: &str = "the size of a cause that is named";

/// Runners on logs, error 4 %, and four causes with different shapes.
fn wave(numbers: &mut Numbers) -> Result<(Vec<Runner>, Vec<Cause>), Fault> {
    let (mut runners, mut trials, mut weeks) = (Vec::new(), Vec::new(), Vec::new());
    let mut exposed = Vec::new();
    for i in 0..RUNNERS {
        let predicted = 7.2 + 0.2 * numbers.normal();
        runners.push(Runner {
            predicted,
            sd: 0.04,
            observed: predicted + 0.04 * numbers.normal(),
        });
        trials.push(1 + (numbers.even() * 4.0) as u32);
        weeks.push((numbers.even() * 10.0).floor());
        exposed.push(if i < RUNNERS / 2 { -1.0 } else { 0.0 });
    }
    let cause = |kind, shape, prior_sd| Cause {
        kind,
        shape,
        prior_sd,
        weight: 1.0,
    };
    let causes = vec![
        cause(CauseKind::CourseLength, even_shape(RUNNERS), 0.08),
        cause(CauseKind::Wind, exposed, 0.1),
        cause(CauseKind::Learning, learning_shape(&trials), 0.1),
        cause(CauseKind::Training, training_shape(&weeks)?, 0.012),
    ];
    Ok((runners, causes))
}

fn planted(runners: &[Runner], cause: &Cause, size: f64) -> Vec<Runner> {
    let moved = |(runner, shape): (&Runner, &f64)| Runner {
        observed: runner.observed + size * shape,
        ..*runner
    };
    runners.iter().zip(&cause.shape).map(moved).collect()
}

fn asked(runners: &[Runner], causes: &[Cause], nothing: f64) -> Result<Fingerprint, Fault> {
    Ok(fingerprint(runners, causes, nothing, 3.0, 0.9)?)
}

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(7, unit);
    let mut tally = Tally::default();
    for (place, size) in CLEAR.into_iter().enumerate() {
        let (runners, causes) = wave(&mut numbers)?;
        let got = asked(&planted(&runners, &causes[place], size), &causes, 1.0)?;
        let named = match got.verdict {
            Verdict::Points(Suspect::Cause { place, .. }) => Some(place),
            _ => None,
        };
        tally.yes(NAMED[place], named == Some(place));
        tally.yes(MISNAMED[place], named.is_some_and(|other| other != place));
    }
    // A size drawn from its prior: the interval of whatever is then named rightly.
    let (runners, causes) = wave(&mut numbers)?;
    let place = unit % causes.len();
    let size = causes[place].prior_sd * numbers.normal();
    let got = asked(&planted(&runners, &causes[place], size), &causes, 1.0)?;
    tally.yes(SIZE, got.causes[place].interval.contains(size));
    let (runners, mut causes) = wave(&mut numbers)?;
    causes[1] = Cause {
        kind: CauseKind::PlaybackSpeed,
        ..causes[0].clone()
    };
    let got = asked(&planted(&runners, &causes[0], CLEAR[0]), &causes, 1.0)?;
    let open = matches!(got.verdict, Verdict::CannotSeparate { same_shape, .. } if same_shape);
    tally.yes("two causes of one shape: cannot separate", open);
    let (runners, causes) = wave(&mut numbers)?;
    let got = asked(&runners, &causes, 4.0)?;
    let blamed = matches!(got.verdict, Verdict::Points(Suspect::Cause { .. }));
    tally.yes("nothing planted: a cause named", blamed);
    let nothing = matches!(got.verdict, Verdict::Points(Suspect::Nothing));
    tally.yes("nothing planted: nothing named", nothing);
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let tally = over(RUNS, unit)?;
    let mut section = Section::new(
        "Fingerprints of a wave",
        "1000 waves of 20 runners each with an error of 4 %: clear sizes are -12 % of course length, 15 % by wind on half \
         the wave, 15 % of learning, 1.8 % a week of training.",
    );
    let rows = tally.covers.iter().map(|(name, cover)| {
        vec![
            (*name).to_owned(),
            format!("{:.1} %", tally.share(name)),
            format!("{:.0}", cover.all[2]),
        ]
    });
    section.table(&["of the waves", "share", "waves"], rows.collect());
    let mut bound = |name: &str, low, high| {
        section.bound(name.to_owned(), tally.share(name), low, high, "%");
    };
    NAMED.iter().for_each(|name| bound(name, 80.0, 100.0));
    MISNAMED.iter().for_each(|name| bound(name, 0.0, 5.0));
    bound("two causes of one shape: cannot separate", 99.0, 100.0);
    bound("nothing planted: a cause named", 0.0, 5.0);
    bound(SIZE, 88.0, 92.0);
    Ok(section)
}
