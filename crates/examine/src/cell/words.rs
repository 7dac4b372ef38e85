//! Words that stand where a result should be, or hint in a note at why a run ended.
//! Common practice, no source: words in use on sheets, in several languages.

use plimsoll_judge::StopReason;

use crate::header::fold;

const ABSENT: [&str; 34] = [
    "",
    "absent",
    "abs",
    "dns",
    "did not start",
    "not tested",
    "not present",
    "no show",
    "away",
    "na",
    "n a",
    "nil",
    "none",
    "no result",
    "no test",
    "nt",
    "excused",
    "exc",
    "not today",
    "off",
    "absente",
    "absents",
    "nicht da",
    "fehlt",
    "krank gemeldet",
    "ausente",
    "assente",
    "afwezig",
    "franvarande",
    "fravaer",
    "missing",
    "x",
    "null",
    "not started",
];

/// Hints in a note that the run ended for a cause other than fatigue.
const HINTS: [(StopReason, &[&str]); 3] = [
    (
        StopReason::Injury,
        &[
            "injur",
            "hamstring",
            "ankle",
            "knee",
            "calf",
            "groin",
            "quad strain",
            "pulled",
            "strain",
            "sprain",
            "twisted",
            "limp",
            "cramp",
            "blister",
            "back pain",
            "shin",
            "achilles",
            "hurt",
            "pain",
            "bless",
            "verletz",
            "zerrung",
            "lesion",
            "lesionado",
            "infortun",
            "fell",
            "tripped",
        ],
    ),
    (
        StopReason::Medical,
        &[
            "asthma",
            "inhaler",
            "dizzy",
            "faint",
            "sick",
            "vomit",
            "unwell",
            " ill",
            "malade",
            "chest",
            "wheez",
            "nosebleed",
            "nausea",
        ],
    ),
    (
        StopReason::Technical,
        &[
            "audio",
            "sound stopped",
            "speaker",
            "collision",
            "collided",
            "shoelace",
            "shoe",
            "slipped",
            "wrong line",
            "track stopped",
            "false start",
            "ball on",
            "interrupted",
        ],
    ),
];

/// Returns whether the text says that there is no result.
pub(crate) fn is_absent(text: &str) -> bool {
    ABSENT.contains(&fold(text).as_str())
}

/// Returns the cause other than fatigue that a note hints at, unless the note denies it.
pub(crate) fn hints_at_other_cause(note: &str) -> Option<StopReason> {
    let folded = format!(" {}", fold(note));
    let denied = [
        "no injur",
        "not injur",
        "no pain",
        "without pain",
        "no problem",
        "injury free",
        "pain free",
        "recovered",
    ];
    if denied.iter().any(|d| folded.contains(d)) {
        return None;
    }
    HINTS
        .iter()
        .find(|(_, words)| {
            words.iter().any(|word| {
                let word = word.trim();
                folded.split(' ').any(|w| w.starts_with(word))
                    || (word.contains(' ') && folded.contains(word))
            })
        })
        .map(|(reason, _)| *reason)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_hint_at_causes() {
        assert_eq!(
            hints_at_other_cause("pulled hamstring"),
            Some(StopReason::Injury)
        );
        assert_eq!(
            hints_at_other_cause("Asthma, used inhaler"),
            Some(StopReason::Medical)
        );
        assert_eq!(hints_at_other_cause("no injury, good run"), None);
        assert_eq!(hints_at_other_cause("great effort, skilled"), None);
        assert!(is_absent(" DNS ") && is_absent("-") && !is_absent("14.3"));
    }
}
