//! What the archive knows, in the words of the examiner: roster and earlier results.

use std::path::Path;

use jiff::civil::Date;
use plimsoll_archive::{Archive, ArchiveError, ResultFilter, Sex};
use plimsoll_examine::{
    Context, Examination, ExamineError, KnownPerson, KnownResult, Options, Sex as ExaminedSex,
    examine_path,
};

/// Returns what the archive knows about people and, for one test, their earlier results.
///
/// # Errors
///
/// Those of the archive.
pub fn known(
    archive: &Archive,
    test: Option<&str>,
    today: Date,
    day: Option<Date>,
) -> Result<Context, ArchiveError> {
    let roster = archive
        .people()?
        .into_iter()
        .map(|p| {
            let mut names = vec![p.facts.called_name.clone()];
            names.extend(p.facts.legal_name.clone());
            names.extend(p.aliases.iter().cloned());
            KnownPerson {
                id: p.id.to_string(),
                names,
                birth_date: p.facts.birth_date,
                sex: p.facts.sex.map(|s| match s {
                    Sex::Female => ExaminedSex::Female,
                    Sex::Male => ExaminedSex::Male,
                }),
                squads: p
                    .memberships
                    .iter()
                    .map(|m| m.membership.squad.clone())
                    .collect(),
                external_ids: p.facts.external_id.clone().into_iter().collect(),
            }
        })
        .collect();
    let mut history = Vec::new();
    if let Some(test) = test {
        let days = archive.days()?;
        let filter = ResultFilter {
            ladder: Some(test.to_owned()),
            ..ResultFilter::default()
        };
        for result in archive.results(&filter)? {
            let Some(held_on) = days
                .iter()
                .find(|d| d.id == result.day)
                .map(|d| d.facts.date)
            else {
                continue;
            };
            // Only what came before the day at hand, and only scores, says what to expect.
            if day.is_some_and(|d| held_on >= d) || result.facts.outcome.is_lower_bound() {
                continue;
            }
            history.push(KnownResult {
                person: result.person.to_string(),
                test: test.to_owned(),
                date: held_on,
                amount: result.facts.outcome.amount,
            });
        }
    }
    Ok(Context {
        today: Some(today),
        day,
        roster,
        history,
        ..Context::default()
    })
}

/// Examines a file without changing anything.
///
/// # Errors
///
/// [`ExamineError`] when the file cannot be examined at all.
pub fn examine<'a>(path: &Path, options: &'a Options<'_>) -> Result<Examination<'a>, ExamineError> {
    examine_path(path, options)
}
