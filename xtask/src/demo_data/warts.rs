//! What is wrong on purpose in the sheets of results: which day, whose row, what.
//! The read-me of the folder lists the same warts with the rows a spreadsheet shows; a test holds both.

use jiff::civil::{Date, date};
use plimsoll_judge::StopReason;

use super::days::TODAY;

/// What is planted in a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The run ended early for another cause than fatigue: consistent, and no score.
    Stop(StopReason, &'static str),
    /// The staff counted on in a stage of eight bouts: `14.10` for `15.2`.
    CountedOn,
    /// The distance is one bout further than the label.
    OneBoutFurther,
    /// The name is not spelt as on the roster.
    Spelt(&'static str),
    /// Zero stands for somebody who was absent.
    ZeroForAbsent,
}

/// A wart in a sheet of results.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wart {
    pub on: Date,
    pub who: &'static str,
    pub kind: Kind,
}

const fn wart(on: Date, who: &'static str, kind: Kind) -> Wart {
    Wart { on, who, kind }
}

/// Every wart in a row of results, by day.
#[rustfmt::skip]
pub const WARTS: [Wart; 8] = [
    wart(date(2024, 12, 7), "Gus Firth", Kind::Stop(StopReason::Technical, "collided with a bench at the turn")),
    wart(date(2025, 5, 24), "Dara Teasel", Kind::Stop(StopReason::Medical, "taken out by staff in the heat")),
    wart(date(2025, 9, 6), "Ana Rowan", Kind::CountedOn),
    wart(date(2026, 3, 14), "Rune Dunnock", Kind::Stop(StopReason::Injury, "rolled ankle")),
    wart(date(2026, 9, 5), "Kai Linnet", Kind::ZeroForAbsent),
    wart(TODAY, "Ivo Larch", Kind::Stop(StopReason::Injury, "sore calf")),
    wart(TODAY, "Mira Teal", Kind::OneBoutFurther),
    wart(TODAY, "Tove Birk", Kind::Spelt("Tobe Birk")),
];

/// Returns what is planted for a player on a day.
pub fn planted(on: Date, who: &str) -> Option<Kind> {
    WARTS
        .iter()
        .find(|w| w.on == on && w.who == who)
        .map(|w| w.kind)
}
