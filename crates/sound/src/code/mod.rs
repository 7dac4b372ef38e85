//! The tone code after a cue: which ladder, which bout, which cue, with check digits.
//! Must stay as `docs/formats/tone-code.md` has it: tracks already handed out speak it for ever.

mod gf16;
mod payload;
mod tones;
mod word;

pub use payload::{CodeKind, Payload};
pub use tones::{EDGE_MS, FIRST_HZ, SPACING_HZ, SYMBOL_MS, TONES, Toner, frequency};
pub use word::{Hearing, SYMBOLS, Word};
