//! Fifteen symbols that carry eight: any eight of them give back the rest.
//! A Reed–Solomon code by evaluation (Reed and Solomon 1960, J. SIAM 8:300–304), distance eight.

use super::gf16::{divide, multiply, power};
use super::payload::Payload;

/// Symbols in a code word.
pub const SYMBOLS: usize = 15;
/// Symbols that carry the payload.
const CARRIED: usize = 8;
/// Added to each symbol, so that a held tone is never a word and words do not sound alike.
const MASK: [u8; SYMBOLS] = [3, 12, 6, 9, 1, 14, 4, 11, 0, 7, 13, 2, 10, 5, 15];
/// Most symbols that may differ from the word read: seven check symbols, three errors kept sure.
const ERRORS: usize = 3;
/// How many of the surest symbols are tried in sets of eight.
const TRIED: usize = 11;

/// One code word: which of sixteen tones sounds in each of fifteen places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Word([u8; SYMBOLS]);

/// How strongly each tone was heard in each place: energies, any unit, all ≥ 0.
pub type Hearing = [[f32; 16]; SYMBOLS];

impl Word {
    /// Returns the word of a payload; nothing when its bout or part is out of range.
    pub fn of(payload: Payload) -> Option<Self> {
        let carried = payload.symbols()?;
        let known: [(usize, u8); CARRIED] = std::array::from_fn(|i| (i, carried[i]));
        Some(Self::through(&known))
    }

    /// Returns the tones, each 0 to 15.
    pub const fn tones(&self) -> &[u8; SYMBOLS] {
        &self.0
    }

    /// Returns what the word says; nothing when no payload has it.
    pub fn payload(&self) -> Option<Payload> {
        Payload::from_symbols(std::array::from_fn(|i| self.0[i] ^ MASK[i]))
    }

    /// Returns the share of the energy heard that lies on this word's tones, 0 to 1.
    pub fn share(&self, hearing: &Hearing) -> f32 {
        let shares = hearing.iter().zip(self.0).map(|(place, tone)| {
            let all: f32 = place.iter().sum();
            if all > 0.0 {
                place[tone as usize] / all
            } else {
                0.0
            }
        });
        shares.sum::<f32>() / SYMBOLS as f32
    }

    /// Returns the word that explains what was heard, with the number of places where another
    /// tone was stronger; nothing when more than three places differ.
    pub fn read(hearing: &Hearing) -> Option<(Self, usize)> {
        let loudest: [(u8, f32); SYMBOLS] = std::array::from_fn(|i| loudest(&hearing[i]));
        let mut order: [usize; SYMBOLS] = std::array::from_fn(|i| i);
        order.sort_by(|a, b| loudest[*b].1.total_cmp(&loudest[*a].1));
        let mut best: Option<(Self, usize)> = None;
        for set in sets() {
            let known = set.map(|i| (order[i], loudest[order[i]].0 ^ MASK[order[i]]));
            let word = Self::through(&known);
            let errors = (0..SYMBOLS).filter(|i| word.0[*i] != loudest[*i].0).count();
            if best.is_none_or(|(_, least)| errors < least) {
                best = Some((word, errors));
            }
            if errors <= 1 {
                break;
            }
        }
        best.filter(|(word, errors)| *errors <= ERRORS && word.payload().is_some())
    }

    /// Returns the word whose unmasked symbols pass through eight known places.
    fn through(known: &[(usize, u8); CARRIED]) -> Self {
        Self(std::array::from_fn(|place| {
            let at = power(place);
            let mut sum = 0;
            for (i, (from, value)) in known.iter().enumerate() {
                if *from == place {
                    return value ^ MASK[place];
                }
                let x = power(*from);
                let mut term = *value;
                for (j, (other, _)) in known.iter().enumerate() {
                    if i != j {
                        let y = power(*other);
                        term = multiply(term, divide(at ^ y, x ^ y));
                    }
                }
                sum ^= term;
            }
            sum ^ MASK[place]
        }))
    }
}

/// Returns the loudest tone and how far it stands above the next, 0 to 1.
fn loudest(place: &[f32; 16]) -> (u8, f32) {
    let (mut tone, mut first, mut second) = (0_u8, f32::MIN, f32::MIN);
    for (i, energy) in place.iter().enumerate() {
        if *energy > first {
            (tone, second, first) = (i as u8, first, *energy);
        } else if *energy > second {
            second = *energy;
        }
    }
    let sure = if first > 0.0 {
        1.0 - second / first
    } else {
        0.0
    };
    (tone, sure)
}

/// Returns the sets of eight among the surest places, in an order that starts with the surest.
fn sets() -> impl Iterator<Item = [usize; CARRIED]> {
    (0_u32..1 << TRIED)
        .filter(|bits| bits.count_ones() as usize == CARRIED)
        .map(|bits| {
            let mut set = [0; CARRIED];
            let members = (0..TRIED).filter(|i| bits >> i & 1 == 1);
            for (place, member) in set.iter_mut().zip(members) {
                *place = member;
            }
            set
        })
}
