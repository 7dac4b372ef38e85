//! The sources behind a report, each once, with its tag.

use plimsoll_interpret::reference::ReferenceAnswer;
use plimsoll_interpret::reliability::ErrorAnswer;
use plimsoll_interpret::{Catalogue as Facts, Confidence};
use plimsoll_ladder::{Confidence as LadderConfidence, built_in_sources};
use plimsoll_report::{SourceLine, Tag};

use super::Material;

/// Returns a confidence of the trade's facts as a page writes it.
pub(crate) const fn tag(confidence: Confidence) -> Tag {
    match confidence {
        Confidence::SourceRead | Confidence::SourceReadAbstract => Tag::SourceRead,
        Confidence::SecondaryRead => Tag::SecondaryRead,
        Confidence::Derived => Tag::Derived,
        Confidence::CommonPractice => Tag::CommonPractice,
        Confidence::FromMemory => Tag::FromMemory,
    }
}

/// Returns a definition's confidence as a page writes it.
pub(crate) const fn ladder_tag(confidence: LadderConfidence) -> Tag {
    match confidence {
        LadderConfidence::SourceRead | LadderConfidence::AbstractRead => Tag::SourceRead,
        LadderConfidence::SecondaryRead => Tag::SecondaryRead,
        LadderConfidence::Derived => Tag::Derived,
        LadderConfidence::CommonPractice => Tag::CommonPractice,
        LadderConfidence::FromMemory | LadderConfidence::FromMemoryLow => Tag::FromMemory,
    }
}

/// Returns every source named by the report's numbers.
pub(super) fn list(m: &Material<'_>, _facts: &Facts) -> Vec<SourceLine> {
    let mut out: Vec<SourceLine> = Vec::new();
    let mut add = |key: &str, text: &str, tag: Tag| {
        if !text.is_empty() && !out.iter().any(|s| s.text == text) {
            out.push(SourceLine {
                key: key.to_owned(),
                text: text.to_owned(),
                tag,
            });
        }
    };
    let status = ladder_tag(m.test.status());
    let mut keys: Vec<&String> = m
        .test
        .definition()
        .stages
        .iter()
        .flat_map(|s| &s.sources)
        .collect();
    keys.sort();
    keys.dedup();
    for source in built_in_sources().iter().filter(|s| keys.contains(&&s.key)) {
        add(&format!("ladder {}", source.key), &source.cite, status);
    }
    for runner in &m.runners {
        let Some(change) = &runner.meaning.change else {
            continue;
        };
        if let ErrorAnswer::Chosen(choice) = &change.error {
            add(
                "typical error",
                &choice.source,
                choice.confidence.map_or(Tag::Measured, tag),
            );
        }
        let pairs = change.previous.iter().flat_map(|p| &p.flags);
        for evidence in change.flags.iter().chain(pairs).flat_map(|f| &f.evidence) {
            add("conditions", &evidence.source, tag(evidence.confidence));
        }
        if let Some(ReferenceAnswer::Found { matches }) = &runner.meaning.reference {
            for found in matches.iter().take(2) {
                add("reference", &found.source, tag(found.confidence));
            }
        }
        for estimate in runner
            .meaning
            .estimates
            .iter()
            .filter(|e| e.shown_by_default)
        {
            if estimate.value().is_some() {
                add("estimate", &estimate.source, tag(estimate.confidence));
            }
        }
    }
    out
}
