//! The question that is asked of a test's results by default, and simpler ones when the rows cannot carry it.

use plimsoll_ladder::Test;

use super::answer::{MixedAnswer, answer};
use super::archive::ArchiveTable;
use super::ask::{Ask, GroupAsk};
use super::error::MixedError;

/// Asks the rows of a test: by default ln value on trial number and weeks, with athlete and day as
/// crossed groups. What is empty in `ask` is filled in; what the rows cannot carry is taken out of
/// the default question, and said.
///
/// # Errors
///
/// [`MixedError`] when too few athletes have repeats, or the question as asked has no answer.
pub fn archive_answer(
    test: &Test,
    rows: &ArchiveTable,
    ask: &Ask,
) -> Result<MixedAnswer, MixedError> {
    if rows.repeated < 2 {
        return Err(MixedError::TooLittle {
            test: test.id().to_owned(),
            found: format!(
                "{} results, {} athletes with two or more that can be compared",
                rows.results, rows.repeated
            ),
            next: "test the same people again, or read a sheet of your own",
        });
    }
    let mut refused: Option<MixedError> = None;
    let mut why_not = String::new();
    for (question, gone) in questions(ask) {
        match answer(rows.table.clone(), &question) {
            Ok(mut found) => {
                if !gone.is_empty() {
                    found.notes.push(format!(
                        "{} left out, since with all of the usual question {why_not}",
                        gone.join(" and ")
                    ));
                }
                return Ok(found);
            }
            Err(why) => {
                if refused.is_none() {
                    why_not = why.to_string();
                }
                // The refusal of the simplest question says most.
                refused = Some(why);
            }
        }
    }
    Err(refused.unwrap_or_else(|| {
        MixedError::model(
            "the question",
            "nothing",
            "an outcome and groups",
            "ask again",
        )
    }))
}

/// Fills in what is empty: the usual question, then ever simpler ones with what they leave out.
fn questions(ask: &Ask) -> Vec<(Ask, Vec<&'static str>)> {
    let mut ask = ask.clone();
    if ask.outcome.is_empty() {
        "value".clone_into(&mut ask.outcome);
    }
    let free_fixed = ask.fixed.is_empty() && ask.factors.is_empty();
    let free_groups = ask.groups.is_empty();
    let fixed: &[&[&str]] = if free_fixed {
        &[&["trial", "weeks"], &["trial"], &["weeks"], &[]]
    } else {
        &[&[]]
    };
    let groups: &[&[&str]] = if free_groups {
        &[&["athlete", "day"], &["athlete"]]
    } else {
        &[&[]]
    };
    let mut all = Vec::new();
    for group in groups {
        for columns in fixed {
            let mut this = ask.clone();
            if free_fixed {
                this.fixed = columns.iter().map(|c| (*c).to_owned()).collect();
            }
            if free_groups {
                this.groups = group.iter().map(|g| GroupAsk::of(g)).collect();
            }
            let gone_fixed = fixed[0].iter().filter(|c| !columns.contains(c));
            let gone_groups = groups[0].iter().filter(|g| !group.contains(g));
            all.push((this, gone_fixed.chain(gone_groups).copied().collect()));
        }
    }
    all
}
