//! The sentences about a cut.
//! Must not add numbers of its own. Words: results pass, levels have chances.

use plimsoll_report::format::{amount, percent};

use super::cut::{AtCut, Band, Cut, Risk};
use super::gather::Squad;
use super::spread::Spread;
use super::{Part, RISK};
use crate::level::NoLevel;

const SETTLE_ERROR: &str = "An error of your own: test ten or more people twice within days, or give a typical error \
    that you trust.";

/// A cut without a typical error says nothing.
pub(super) fn refused(squad: &Squad<'_>, why: Option<&NoLevel>) -> Part<Cut> {
    let reason = match (&squad.error, why) {
        (Err(words), _) => words.clone(),
        (_, Some(no)) => no.to_string(),
        _ => "no runner has a typical error".to_owned(),
    };
    Part::refused(
        format!(
            "No chance can be given at this cut: {}. A result alone does not say on which side a person is.",
            reason.trim_end_matches('.')
        ),
        "no typical error, so no doubt about a result can be worked out",
        SETTLE_ERROR,
    )
}

/// The answer in words.
pub(super) fn part(squad: &Squad<'_>, cut: Cut, spread: &Spread, levels: &str) -> Part<Cut> {
    let mut says = vec![headline(&cut), verdicts(&cut)];
    says.push(band(&cut.band, cut.unit));
    match &cut.risk {
        Some(risk) => says.push(format!(
            "In a squad spread like this one, one trial is expected to decide wrongly about {}.",
            wrong(risk)
        )),
        None => says.push(
            "The day has too few full results, or no more spread than the error of one result, so the wrong \
             verdicts of the squad as a whole cannot be foretold."
                .to_owned(),
        ),
    }
    says.extend(best_of(&cut));
    let alone: Vec<&str> = cut
        .people
        .iter()
        .filter(|p| p.p_above.is_none())
        .map(|p| p.name.as_str())
        .collect();
    if !alone.is_empty() {
        says.push(format!(
            "No chance can be given for {}: no typical error fits them, or only a bound is known.",
            alone.join(", ")
        ));
    }
    let open: Vec<&str> = cut
        .people
        .iter()
        .filter(|p| is_open(p))
        .map(|p| p.name.as_str())
        .collect();
    let settle = if open.is_empty() {
        "Nothing more is needed at this risk for those with a chance; a person near the cut may still be tested again."
            .to_owned()
    } else {
        format!(
            "Another test, on another day, of {}: the mean of two results errs 0.71 times as much as one, the best of \
             two does not. Until then nobody should be selected or dropped on the cut alone.",
            open.join(", ")
        )
    };
    Part {
        says,
        basis: basis(squad, spread, levels),
        settle,
        answer: Some(cut),
    }
}

fn is_open(person: &AtCut) -> bool {
    person.p_above.is_some_and(|p| p > RISK && p < 1.0 - RISK)
}

fn headline(cut: &Cut) -> String {
    let passes = cut.people.iter().filter(|p| p.passes).count();
    let short = cut.people.iter().filter(|p| p.bound && !p.passes).count();
    format!(
        "The cut is {}{}{}: {} of {} results reach it{}.",
        amount(cut.at, cut.unit),
        cut.label
            .as_ref()
            .map_or_else(String::new, |l| format!(" ({l})")),
        match cut.read_as.as_str() {
            said if said.ends_with(" m") => String::new(),
            said => format!(", read as {said}"),
        },
        passes,
        cut.people.len(),
        match short {
            0 => String::new(),
            1 => "; one run was cut short before it, which says nothing against a level above"
                .to_owned(),
            n => format!(
                "; {n} runs were cut short before it, which says nothing against a level above"
            ),
        }
    )
}

/// What today's verdicts are worth, person by person.
fn verdicts(cut: &Cut) -> String {
    let sum = |passes: bool| -> f64 {
        cut.people
            .iter()
            .filter(|p| p.passes == passes && (passes || !p.bound))
            .filter_map(|p| p.p_above)
            .map(|p| if passes { 1.0 - p } else { p })
            .sum()
    };
    let open = cut.people.iter().filter(|p| is_open(p)).count();
    format!(
        "Where a chance is known: of those who reach it about {} are truly below, of those who ran and fell short of it about {} \
         are truly at it or above. {} open: the chance of the true level lies between {} and {}.",
        tenth(sum(true)),
        tenth(sum(false)),
        match open {
            0 => "Nobody is left".to_owned(),
            1 => "One person is left".to_owned(),
            n => format!("{n} people are left"),
        },
        percent(RISK),
        percent(1.0 - RISK)
    )
}

fn band(band: &Band, unit: &str) -> String {
    let side = |value: f64, label: &Option<String>| {
        let label = label
            .as_ref()
            .map_or_else(String::new, |l| format!(" ({l})"));
        format!("{}{label}", amount(value, unit))
    };
    let who = if band.in_group {
        "For a member of this squad of whom nothing else is known"
    } else {
        "For one result alone"
    };
    let risk = percent(band.risk);
    match (band.fail_to, band.pass_from) {
        (Some(low), Some(high)) => format!(
            "{who}, {} or less is below the cut and {} or more is at it or above, each with at most {risk} risk; a \
             result in between leaves it open.",
            side(low, &band.fail_label),
            side(high, &band.pass_label)
        ),
        (None, Some(high)) => format!(
            "{who}, {} or more is at the cut or above with at most {risk} risk; no result is low enough to rule the \
             cut out.",
            side(high, &band.pass_label)
        ),
        (Some(low), None) => format!(
            "{who}, {} or less is below the cut with at most {risk} risk; no result of this test is high enough to \
             be sure of the cut.",
            side(low, &band.fail_label)
        ),
        (None, None) => format!("{who}, no single result decides at {risk} risk."),
    }
}

fn wrong(risk: &Risk) -> String {
    format!(
        "{} of {}: {} pass with a level below, {} fail with a level at the cut or above",
        tenth(risk.false_passes + risk.false_fails),
        risk.people,
        tenth(risk.false_passes),
        tenth(risk.false_fails)
    )
}

fn best_of(cut: &Cut) -> Option<String> {
    let best = &cut.best_of;
    if best.trials < 2 {
        return None;
    }
    let mut words = format!(
        "Were the best of {} trials to count, it would lie {:.1} % ({}) above the level on average",
        best.trials,
        best.inflation_percent,
        amount(best.inflation, cut.unit)
    );
    if let (Some(one), Some(many)) = (&cut.risk, &best.risk) {
        words.push_str(&format!(
            ": expected passes go from {} to {}, false passes from {} to {}, false fails from {} to {}",
            tenth(one.passes),
            tenth(many.passes),
            tenth(one.false_passes),
            tenth(many.false_passes),
            tenth(one.false_fails),
            tenth(many.false_fails)
        ));
    }
    words.push('.');
    Some(words)
}

fn basis(squad: &Squad<'_>, spread: &Spread, levels: &str) -> String {
    let error = squad.error_basis();
    let group = spread.group.as_ref().map_or_else(
        || "the squad's spread could not be used".to_owned(),
        |g| {
            format!(
                "people of the day differ by {:.0} % (SD, error taken out), one result errs by {:.1} %",
                100.0 * (g.sd * g.reliability.sqrt()).exp_m1(),
                100.0 * spread.error.exp_m1()
            )
        },
    );
    format!(
        "Chances: each person's level on the day from all results up to it, taken as normal on ln ({levels}). Guard \
         band, wrong verdicts and best of several: {group}; {error}. A result counts whole bouts: it stands for \
         everything up to the next one."
    )
}

/// One decimal below ten, whole people above.
fn tenth(value: f64) -> String {
    // A sum of nothing is minus zero.
    let value = value + 0.0;
    if value < 9.95 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}
