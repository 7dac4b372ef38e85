//! One athlete's line: today's result, change, history, estimates, references, how.

use plimsoll_interpret::Size;
use plimsoll_interpret::change::Pairwise;
use plimsoll_interpret::equations::EstimateResult;
use plimsoll_interpret::reference::{
    MatchGrade, ReferenceAnswer, ReferenceMatch, ReferenceStanding,
};
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_judge::Censoring;
use plimsoll_report::{
    AthleteLine, Bound, ChangeLine, EstimateLine, HistoryPoint, LevelLine, ReferenceLine, Tag,
};

use super::sources::tag;
use super::words::{date, number};
use super::{Material, Runner, moved, next};
use crate::history::{Entry, day_number};

/// Half width of a 90 % interval in standard deviations.
const Z90: f64 = 1.644_853_626_951_472_2;
/// Most references on one line of a card.
const MOST_REFERENCES: usize = 2;

/// Returns the line of one runner.
pub(super) fn line(m: &Material<'_>, r: &Runner) -> AthleteLine {
    let Some(now) = r.now() else {
        return AthleteLine::default();
    };
    let report = r.meaning.change.as_ref();
    let previous = report.and_then(|c| c.previous.as_ref());
    let best = report
        .and_then(|c| c.best.as_ref())
        .filter(|b| previous.is_none_or(|p| p.day != b.day));
    let outcome = &now.entry.result.facts.outcome;
    let line = AthleteLine {
        id: r.person.id.to_string(),
        name: r.person.facts.called_name.clone(),
        label: now.score.label.clone().unwrap_or_default(),
        value: now.value.map(|(v, _)| v),
        distance_m: now.score.distance_m,
        final_speed_kmh: now.score.final_speed_kmh,
        bouts: now.score.bouts,
        reason: outcome.reason.in_words().to_owned(),
        lower_bound: now.is_lower_bound(),
        ceiling: outcome.censoring() == Censoring::Ceiling,
        change: previous
            .map(|p| change(m, r, p, "last test"))
            .filter(says_something),
        level: level(m, r),
        best: best
            .map(|p| change(m, r, p, "best test"))
            .filter(says_something),
        flags: flags(r),
        history: r
            .entries
            .iter()
            .filter_map(|e| point(e, &r.meaning))
            .collect(),
        estimates: estimates(r),
        references: references(r),
        next_step: String::new(),
        how: how(m, r, now),
    };
    let next_step = next::step(&line, moved::of(&line, r).way, r.entries.len());
    AthleteLine { next_step, ..line }
}

/// A gain of a percent a week is asked about where only the level is wanted.
const GAIN: f64 = 0.01;

/// Returns the level from all results, when there is a change to speak of.
fn level(m: &Material<'_>, r: &Runner) -> Option<LevelLine> {
    let levels = m.levels.as_ref()?;
    let day = m.day.facts.date;
    let found = levels.person(&r.person.id.to_string(), day, GAIN).ok()?;
    let change = found.change?;
    let now = found.points.last()?;
    Some(LevelLine {
        level: now.level,
        lower: now.lower,
        upper: now.upper,
        unit: levels.unit().as_str().to_owned(),
        since: change.since,
        low90: change.low90,
        high90: change.high90,
        p_up: change.p_up,
        p_trivial: change.p_trivial,
        p_down: change.p_down,
        verdict: change.verdict,
    })
}

/// Returns the date of an earlier result by its day number.
fn date_of(r: &Runner, day: i64) -> String {
    r.entries
        .iter()
        .find(|e| day_number(e.date()) == day)
        .map_or_else(String::new, |e| date(e.date()))
}

fn change(m: &Material<'_>, r: &Runner, pair: &Pairwise, what: &str) -> ChangeLine {
    let unit = m.scale.map_or("m", |s| s.unit.as_str()).to_owned();
    let now = r.now().and_then(|e| e.value).map_or(0.0, |(v, _)| v);
    let earlier = r.entries.iter().find(|e| day_number(e.date()) == pair.day);
    let open = |e: Option<&Entry>| {
        e.is_some_and(|e| e.entry.result.facts.outcome.censoring() != Censoring::Score)
    };
    let bound = match (open(earlier), open(r.now())) {
        (false, true) => Bound::AtLeast,
        (true, false) => Bound::AtMost,
        _ => Bound::Exact,
    };
    let n = pair.numbers.as_ref();
    // Decided: the 90 % interval keeps clear of no change, and no flag voided the comparison.
    let decided = n.is_some_and(|n| n.interval_90.0 > 0.0 || n.interval_90.1 < 0.0)
        && !pair.words.starts_with("unclear");
    ChangeLine {
        against_label: format!("{what}, {}", date_of(r, pair.day)),
        difference: now - pair.value,
        low90: n.map(|n| n.interval_90.0),
        high90: n.map(|n| n.interval_90.1),
        bound,
        p_up: n.map(|n| n.chances.up),
        p_trivial: n.map(|n| n.chances.trivial),
        p_down: n.map(|n| n.chances.down),
        verdict: verdict(r, pair),
        decided,
        detectable: n.map_or_else(String::new, |n| {
            let steps = match (n.detectable.up_steps, m.test.ladder()) {
                (Some(steps), Some(_)) => format!(", {} bouts", number(steps, 0)),
                _ => String::new(),
            };
            format!(
                "A rise of {} {unit}{steps} or a fall of {} {unit} would rule chance out (95 %).",
                number(n.detectable.up, 0),
                number(n.detectable.down, 0),
            )
        }),
        unit,
    }
}

/// Returns the verdict in a few words; the long reason stands in the "how" line.
fn verdict(r: &Runner, pair: &Pairwise) -> String {
    match r.meaning.change.as_ref().map(|c| &c.error) {
        Some(ErrorAnswer::NoAdequateError { .. }) => {
            "unclear: no study gives the error for this sex and age".to_owned()
        }
        _ => pair.words.clone(),
    }
}

/// Returns whether a change is worth printing: "at least 1 000 m less" says nothing.
fn says_something(change: &ChangeLine) -> bool {
    match change.bound {
        Bound::Exact => true,
        Bound::AtLeast => change.difference > 0.0,
        Bound::AtMost => change.difference < 0.0,
    }
}

/// Returns every doubt in words: about the result, then about the comparison.
fn flags(r: &Runner) -> Vec<String> {
    let Some(change) = &r.meaning.change else {
        return Vec::new();
    };
    let of_pair = change.previous.iter().flat_map(|p| p.flags.iter());
    let mut out: Vec<String> = Vec::new();
    for flag in change.flags.iter().chain(of_pair) {
        // The studies behind a doubt are in the list of sources.
        if !out.contains(&flag.words) {
            out.push(flag.words.clone());
        }
    }
    if let Some(Ok(growth)) = &r.meaning.growth {
        out.push(growth.short_line());
    }
    out
}

/// Returns a result with the error bar of one test at 90 %.
fn point(entry: &Entry, meaning: &crate::meaning::Meaning) -> Option<HistoryPoint> {
    let (value, _) = entry.value?;
    let error = match meaning.change.as_ref().map(|c| &c.error) {
        Some(ErrorAnswer::Chosen(choice)) => Some(choice.size),
        _ => None,
    };
    let (low, high) = match error {
        Some(Size::Percent(cv)) => {
            let s = (1.0 + cv / 100.0).ln() * Z90;
            (Some(value * (-s).exp()), Some(value * s.exp()))
        }
        Some(Size::InUnit(te)) => (Some(value - Z90 * te), Some(value + Z90 * te)),
        None => (None, None),
    };
    let bound = entry.is_lower_bound();
    Some(HistoryPoint {
        date: entry.date(),
        value,
        low: low.filter(|_| !bound),
        high: high.filter(|_| !bound),
        lower_bound: bound,
        note: entry.entry.day.facts.deviation.clone().unwrap_or_default(),
    })
}

/// Returns whether an estimate says something about the result, and not about age alone.
fn is_printed(predicts: &str) -> bool {
    matches!(
        predicts,
        "vo2max" | "vo2peak" | "maximal_aerobic_speed" | "critical_speed"
    )
}

/// Returns what is estimated as a page prints it.
fn in_print(predicts: &str) -> String {
    match predicts {
        "vo2max" => "VO2max".to_owned(),
        "vo2peak" => "VO2peak".to_owned(),
        other => other.replace('_', " "),
    }
}

fn estimates(r: &Runner) -> Vec<EstimateLine> {
    let mut out = Vec::new();
    let mut refused: Option<String> = None;
    for e in r
        .meaning
        .estimates
        .iter()
        .filter(|e| e.shown_by_default && is_printed(&e.predicts))
    {
        match &e.result {
            EstimateResult::Value {
                value,
                interval_95,
                interval_words,
            } => out.push(EstimateLine {
                text: format!(
                    "estimated {} {} {}",
                    in_print(&e.predicts),
                    number(*value, 1),
                    e.unit
                ),
                interval: interval_95.map_or_else(
                    || interval_words.clone(),
                    |(low, high)| format!("{} to {} (95 %)", number(low, 1), number(high, 1)),
                ),
                source: format!("{}; sample: {}", e.source, e.sample),
                tag: tag(e.confidence),
            }),
            EstimateResult::Refused { words, .. } => {
                refused.get_or_insert_with(|| words.clone());
            }
        }
    }
    if out.is_empty()
        && let Some(words) = refused
    {
        out.push(EstimateLine {
            text: "no estimate".to_owned(),
            interval: words,
            source: "docs/methods/estimates.md".to_owned(),
            tag: Tag::Derived,
        });
    }
    out
}

fn references(r: &Runner) -> Vec<ReferenceLine> {
    match &r.meaning.reference {
        Some(ReferenceAnswer::Found { matches }) => {
            let fit: Vec<&ReferenceMatch> = matches
                .iter()
                .filter(|m| m.grade < MatchGrade::Loose && same_sport(m))
                .collect();
            if fit.is_empty() {
                return vec![none_fits(&format!(
                    "{} exist for this sex and age; each is of another sport or standard, or differs in \
                     two or more ways",
                    matches.len()
                ))];
            }
            fit.into_iter()
                .take(MOST_REFERENCES)
                .map(reference)
                .collect()
        }
        Some(ReferenceAnswer::NoAdequateReference {
            looked_for, why, ..
        }) => {
            vec![none_fits(&format!("{why} (looked for {looked_for})"))]
        }
        None => Vec::new(),
    }
}

/// Returns whether sport or standard was asked for and is the reference's own.
fn same_sport(m: &ReferenceMatch) -> bool {
    !m.reasons
        .iter()
        .any(|r| r.starts_with("another standard") || r.starts_with("standard not"))
}

fn none_fits(why: &str) -> ReferenceLine {
    ReferenceLine {
        text: format!("no adequate reference: {why}"),
        source: "docs/methods/references.md".to_owned(),
        n: None,
        tag: Tag::Derived,
    }
}

/// Returns a centile as people say it; the ends are not split further.
fn centile(value: f64) -> String {
    let whole = value.round();
    if whole < 1.0 {
        return "below the 1st centile".to_owned();
    }
    if whole > 99.0 {
        return "above the 99th centile".to_owned();
    }
    let n = whole as u32;
    let ending = match (n % 10, n % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("about the {n}{ending} centile")
}

fn reference(m: &ReferenceMatch) -> ReferenceLine {
    let year = m.year.map_or_else(String::new, |y| format!(", {y}"));
    let place = match &m.standing {
        ReferenceStanding::Placed { z, centile } => {
            format!("z {}, {}", number(*z, 1), self::centile(*centile))
        }
        ReferenceStanding::OffTable { words } => words.clone(),
        ReferenceStanding::MeanOnly { mean, sd, why } => {
            let sd = sd.map_or_else(String::new, |sd| format!(" ± {}", number(sd, 0)));
            format!(
                "their mean {}{sd} {}; no centile: {why}",
                number(*mean, 0),
                m.unit
            )
        }
        ReferenceStanding::Range { low, high } => {
            format!(
                "range {} to {} {}",
                number(*low, 1),
                number(*high, 1),
                m.unit
            )
        }
        ReferenceStanding::CutPoint { at, .. } => {
            format!("cut-point {} {}", number(*at, 1), m.unit)
        }
        ReferenceStanding::NotPlaced => "not placed".to_owned(),
    };
    ReferenceLine {
        text: format!("{}{year}: {place}", m.group),
        source: m.source.clone(),
        n: m.n,
        tag: tag(m.confidence),
    }
}

/// Returns where the numbers come from.
fn how(m: &Material<'_>, r: &Runner, now: &Entry) -> String {
    let mut parts = Vec::new();
    match now.score.bouts {
        Some(n) => parts.push(format!(
            "ladder {} ({}), {n} bouts completed",
            m.test.id(),
            m.test
                .ladder()
                .map(|_| m.test.fingerprint())
                .unwrap_or_default()
        )),
        None => parts.push(format!("test {}", m.test.id())),
    }
    match r.meaning.change.as_ref().map(|c| &c.error) {
        Some(ErrorAnswer::Chosen(choice)) => parts.push(choice.basis.clone()),
        Some(ErrorAnswer::NoAdequateError { words }) => parts.push(words.clone()),
        None => {}
    }
    let least = r
        .meaning
        .change
        .as_ref()
        .and_then(|c| c.previous.as_ref()?.worthwhile.as_ref());
    parts.extend(least.map(|l| l.basis.clone()));
    match &r.meaning.growth {
        Some(Ok(growth)) => parts.push(growth.basis()),
        Some(Err(why)) => parts.push(why.clone()),
        None => {}
    }
    parts.join("; ")
}
