//! A ladder's fingerprint: what two outcomes must share to have been run on the same cues.

use sha2::{Digest, Sha256};

use crate::definition::Definition;
use crate::timeline::Cue;

/// Returns the first 16 hexadecimal digits of the SHA-256 of every cue and of the script of
/// announcements. Renaming a test does not change it; moving one cue by a nanosecond does.
pub(crate) fn fingerprint(definition: &Definition, cues: &[Cue]) -> String {
    let script = definition
        .rules
        .announcements
        .as_ref()
        .map_or("unknown", |a| a.value.as_str());
    with_script(cues, script)
}

/// Returns the fingerprint of cues with a script of announcements.
pub(crate) fn with_script(cues: &[Cue], script: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(b"plimsoll ladder 1\n");
    for cue in cues {
        hash.update(format!(
            "{} {} {} {}\n",
            cue.at.as_nanos(),
            cue.kind,
            cue.bout,
            cue.label
        ));
    }
    hash.update(format!("announcements {script}\n"));
    let digest = hash.finalize();
    digest
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect()
}
