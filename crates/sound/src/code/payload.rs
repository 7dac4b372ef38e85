//! What a tone code says: ladder, bout, kind of cue, which of several inside the bout.
//! Thirty-two bits as eight symbols of four, most significant first.

use plimsoll_ladder::CueKind;

/// The kinds a code can carry, with their numbers for ever.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CodeKind {
    /// Go.
    Start,
    /// Be at the far line and turn.
    Turn,
    /// Be at this line or cone.
    Line,
    /// Be over the finish line.
    Finish,
    /// The speed changes here, between two other cues.
    Stage,
    /// Stop now: the end of a timed form.
    Stop,
}

impl CodeKind {
    /// Every kind; its index is its number.
    pub const ALL: [Self; 6] = [
        Self::Start,
        Self::Turn,
        Self::Line,
        Self::Finish,
        Self::Stage,
        Self::Stop,
    ];

    /// Returns the word used in files.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Turn => "turn",
            Self::Line => "line",
            Self::Finish => "finish",
            Self::Stage => "stage",
            Self::Stop => "stop",
        }
    }

    const fn number(self) -> u32 {
        match self {
            Self::Start => 0,
            Self::Turn => 1,
            Self::Line => 2,
            Self::Finish => 3,
            Self::Stage => 4,
            Self::Stop => 5,
        }
    }
}

impl From<CueKind> for CodeKind {
    fn from(kind: CueKind) -> Self {
        match kind {
            CueKind::Start => Self::Start,
            CueKind::Turn => Self::Turn,
            CueKind::Line => Self::Line,
            CueKind::Finish => Self::Finish,
            CueKind::Stage => Self::Stage,
        }
    }
}

/// What one tone code says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Payload {
    /// The first sixteen bits of the ladder's fingerprint.
    pub ladder: u16,
    /// Number of the bout, 1 to [`Payload::MAX_BOUT`].
    pub bout: u16,
    /// Kind of cue.
    pub kind: CodeKind,
    /// Index among the cues of this kind in the bout, 0 to [`Payload::MAX_PART`].
    pub part: u8,
}

impl Payload {
    /// Largest bout number: nine bits.
    pub const MAX_BOUT: u16 = 511;
    /// Largest index inside a bout: four bits.
    pub const MAX_PART: u8 = 15;

    /// Returns the sixteen bits of a fingerprint of hexadecimal digits; nothing when it has fewer
    /// than four.
    pub fn ladder_bits(fingerprint: &str) -> Option<u16> {
        u16::from_str_radix(fingerprint.get(..4)?, 16).ok()
    }

    /// Returns the eight symbols; a bout or part beyond its range has no code.
    pub(super) fn symbols(self) -> Option<[u8; 8]> {
        if self.bout > Self::MAX_BOUT || self.part > Self::MAX_PART {
            return None;
        }
        let word = u32::from(self.ladder) << 16
            | u32::from(self.bout) << 7
            | self.kind.number() << 4
            | u32::from(self.part);
        Some(std::array::from_fn(|i| (word >> (28 - 4 * i) & 0xf) as u8))
    }

    /// Returns what eight symbols say; nothing when the kind has no meaning or the bout is zero.
    pub(super) fn from_symbols(symbols: [u8; 8]) -> Option<Self> {
        let word = symbols.iter().fold(0_u32, |w, s| w << 4 | u32::from(*s));
        let kind = CodeKind::ALL.get((word >> 4 & 0x7) as usize)?;
        let bout = (word >> 7 & 0x1ff) as u16;
        (bout > 0).then_some(Self {
            ladder: (word >> 16) as u16,
            bout,
            kind: *kind,
            part: (word & 0xf) as u8,
        })
    }
}
