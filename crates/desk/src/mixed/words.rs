//! What a mixed model says, in sentences. Whose the scatter is comes first.

use plimsoll_report::format::{number, with_unit};

use super::answer::{Effect, MixedAnswer};
use super::coding::Factor;
use super::pen::{Pen, is_height};
use super::share::share_words;

/// Returns the level of the intervals, as "90 %".
pub(super) fn level(answer: &MixedAnswer) -> String {
    let percent = answer.ask.level * 100.0;
    with_unit(number(percent, usize::from(percent.fract() > 1e-9)), "%")
}

/// A share in percent; a small one is not called 0.
pub(super) fn part_of_whole(share: f64) -> String {
    if share > 0.0 && share < 0.005 {
        return with_unit("under 1".to_owned(), "%");
    }
    with_unit(number(100.0 * share, 0), "%")
}

/// Joins with commas and "and".
pub(super) fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Returns the answer in sentences, the most important first.
pub fn verdict(answer: &MixedAnswer) -> Vec<String> {
    let mut out = Vec::new();
    if !answer.fit.convergence.converged {
        out.push(
            "The search did not come to an end: do not use these numbers. Take a group, a slope or a \
             column out and ask again."
                .to_owned(),
        );
    }
    out.push(whose(answer));
    out.extend(answer.fit.singular_notes().into_iter().map(|note| {
        format!(
            "The fit is at the edge of what is possible (singular): {}.",
            note.replace('`', "")
        )
    }));
    out.push(left_over(answer));
    out.push(typical(answer));
    out.extend(
        answer
            .fixed
            .iter()
            .filter(|e| !is_height(e))
            .map(|e| effect(answer, e)),
    );
    out
}

fn whose(answer: &MixedAnswer) -> String {
    let mut parts: Vec<String> = Vec::new();
    for share in &answer.shares {
        let size = format!(
            "{} ({})",
            share_words(share.share),
            part_of_whole(share.share)
        );
        parts.push(match &share.group {
            Some(group) => format!("{size} is from one {group} to another"),
            None => format!("{size} is left over"),
        });
    }
    let for_what: Vec<String> = answer
        .fixed
        .iter()
        .filter(|e| !is_height(e))
        .map(|e| e.name.clone())
        .collect();
    let allowed = match for_what.as_slice() {
        [] => String::new(),
        names if names.len() <= 4 => format!(
            ", once {} {} allowed for",
            listed(names),
            if names.len() == 1 { "is" } else { "are" }
        ),
        names => format!(", once {} fixed columns are allowed for", names.len()),
    };
    format!("Of the scatter{allowed}, {}.", listed(&parts))
}

fn left_over(answer: &MixedAnswer) -> String {
    let pen = Pen::of(answer);
    let Some(part) = answer.parts.iter().find(|p| p.group.is_none()) else {
        let column = answer.ask.error.as_deref().unwrap_or("the error");
        return format!("The error of each row is taken as known, from `{column}`.");
    };
    let range = match &part.interval {
        Some(Ok(found)) => format!(
            " ({}; {} interval)",
            pen.sd_range(part.sd, found),
            level(answer)
        ),
        Some(Err(_)) => " (no interval)".to_owned(),
        None => " (interval not worked out for so many rows or columns)".to_owned(),
    };
    format!(
        "Typical error, the SD of what is left over: {}{range}.",
        pen.unsigned(part.sd, part.sd)
    )
}

fn typical(answer: &MixedAnswer) -> String {
    let (pen, typical) = (Pen::of(answer), &answer.typical);
    let height = pen.height(typical.estimate, typical.se);
    let groups: Vec<String> = answer.fit.terms.iter().map(|t| t.name.clone()).collect();
    let how = if answer.fixed.len() > 1 {
        ", at the mean of what is allowed for"
    } else {
        ""
    };
    let how = format!(" for a typical {}{how}", listed(&groups));
    match &typical.interval {
        Ok(interval) => format!(
            "Expected{how}: {height} ({}; {} interval).",
            pen.effect_range(typical, interval),
            level(answer)
        ),
        Err(why) => format!("Expected{how}: {height}; no interval, since {why}."),
    }
}

/// What a fixed effect is of: a step of 1, a category against the first one, a product.
fn what(answer: &MixedAnswer, name: &str) -> String {
    for factor in answer.coding.terms.iter().flatten() {
        match factor {
            Factor::Number(column) if column == name => {
                return format!("For each 1 more of {name}");
            }
            Factor::Category(column, labels) => {
                let mut others = labels.iter().skip(1);
                if let Some(label) = others.find(|l| format!("{column}={l}") == name) {
                    return format!("{column}, {label} against {}", labels[0]);
                }
            }
            Factor::Number(_) => {}
        }
    }
    format!("{name}, how far the one changes the other")
}

fn effect(answer: &MixedAnswer, effect: &Effect) -> String {
    let pen = Pen::of(answer);
    let size = pen.signed(effect.estimate, effect.se);
    let what = what(answer, &effect.name);
    match &effect.interval {
        Ok(i) => {
            let clear = if i.lower > 0.0 {
                "clearly up"
            } else if i.upper < 0.0 {
                "clearly down"
            } else {
                "unclear: it cannot be told from none"
            };
            format!(
                "{what}: {size} ({}; {} interval), {clear}.",
                pen.effect_range(effect, i),
                level(answer)
            )
        }
        Err(why) => format!("{what}: {size}; no interval, since {why}."),
    }
}
