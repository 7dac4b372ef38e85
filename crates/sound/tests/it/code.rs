//! The tone code: laws of the words, and that no two ladders of the catalogue say the same.

use std::collections::BTreeMap;

use plimsoll_ladder::Catalogue;
use plimsoll_sound::{
    CodeKind, Hearing, Payload, SYMBOLS, Script, Toner, Word, coded_cues, frequency,
};
use proptest::prelude::*;

fn payloads() -> impl Strategy<Value = Payload> {
    let kinds = prop::sample::select(CodeKind::ALL.to_vec());
    (
        any::<u16>(),
        1..=Payload::MAX_BOUT,
        kinds,
        0..=Payload::MAX_PART,
    )
        .prop_map(|(ladder, bout, kind, part)| Payload {
            ladder,
            bout,
            kind,
            part,
        })
}

/// A clear hearing of a word: its tones at 1, the others at `other`.
fn heard(word: &Word, other: f32) -> Hearing {
    std::array::from_fn(|i| {
        let mut place = [other; 16];
        place[usize::from(word.tones()[i])] = 1.0;
        place
    })
}

proptest! {
    #[test]
    fn a_word_says_what_went_in(payload in payloads()) {
        let word = Word::of(payload).expect("in range");
        prop_assert_eq!(word.payload(), Some(payload));
        let (read, errors) = Word::read(&heard(&word, 0.1)).expect("a clear word");
        prop_assert_eq!((read.payload(), errors), (Some(payload), 0));
    }

    /// Singleton bound: fifteen symbols that carry eight differ in at least eight places.
    #[test]
    fn two_words_differ_in_eight_places(a in payloads(), b in payloads()) {
        prop_assume!(a != b);
        let (a, b) = (Word::of(a).expect("in range"), Word::of(b).expect("in range"));
        let differ = a.tones().iter().zip(b.tones()).filter(|(x, y)| x != y).count();
        prop_assert!(differ >= 8, "{} places", differ);
    }

    #[test]
    fn three_wrong_tones_are_put_right(
        payload in payloads(),
        places in prop::collection::btree_set(0..SYMBOLS, 0..=3),
        wrong in prop::collection::vec(1..16_u8, 3),
    ) {
        let word = Word::of(payload).expect("in range");
        let mut hearing = heard(&word, 0.2);
        for (place, wrong) in places.iter().zip(&wrong) {
            // A wrong tone somewhat stronger than the right one: heard, but less surely.
            let tone = word.tones()[*place] ^ wrong;
            hearing[*place][usize::from(tone)] = 1.5;
        }
        let (read, errors) = Word::read(&hearing).expect("within reach");
        prop_assert_eq!((read.payload(), errors), (Some(payload), places.len()));
    }

    #[test]
    fn noise_is_seldom_a_word(seed in any::<u64>()) {
        use rand::{Rng, SeedableRng};
        let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
        let trials = 200;
        let words = (0..trials).filter(|_| {
            let hearing: Hearing = std::array::from_fn(|_| std::array::from_fn(|_| random.random()));
            Word::read(&hearing).is_some()
        });
        // 455 × 15³ / 16⁷ of all words lie within three places of a code word: 0.6 %.
        prop_assert!(words.count() <= 12);
    }
}

#[test]
fn a_held_tone_is_no_word() {
    for tone in 0..16 {
        let hearing: Hearing = std::array::from_fn(|_| {
            let mut place = [0.05; 16];
            place[tone] = 1.0;
            place
        });
        assert!(Word::read(&hearing).is_none(), "tone {tone}");
    }
}

#[test]
fn a_payload_out_of_range_has_no_word() {
    let payload = Payload {
        ladder: 1,
        bout: 512,
        kind: CodeKind::Start,
        part: 0,
    };
    assert!(Word::of(payload).is_none());
    assert!(
        Word::of(Payload {
            bout: 1,
            part: 16,
            ..payload
        })
        .is_none()
    );
}

/// Two ladders with the same first sixteen bits could be told apart by time alone.
#[test]
fn every_built_in_ladder_and_script_has_its_own_bits() {
    let mut seen: BTreeMap<u16, String> = BTreeMap::new();
    for test in Catalogue::built_in()
        .iter()
        .filter(|t| t.shape().is_paced())
    {
        for script in Script::ALL {
            let print = test.fingerprint_with(script.as_str());
            let bits = Payload::ladder_bits(&print).expect("hexadecimal");
            let other = seen.insert(bits, print.clone());
            assert!(
                other.as_ref().is_none_or(|o| *o == print),
                "{bits:04x} twice"
            );
        }
    }
}

/// Every cue of every paced definition can be coded, and says which it is.
#[test]
fn every_cue_has_its_own_code() {
    for test in Catalogue::built_in()
        .iter()
        .filter(|t| t.shape().is_paced())
    {
        let cues = coded_cues(test, 7).unwrap_or_else(|e| panic!("{e}"));
        let mut payloads: Vec<_> = cues.iter().filter_map(|c| c.payload).collect();
        let (all, instants) = (payloads.len(), {
            let mut at: Vec<_> = cues.iter().map(|c| c.at).collect();
            at.dedup();
            at.len()
        });
        payloads.sort();
        payloads.dedup();
        assert_eq!(payloads.len(), all, "{}", test.id());
        assert_eq!(all, instants, "{}: one code for each instant", test.id());
    }
}

/// The tones as sound, read back by a plain discrete Fourier sum at the pitches documented.
#[test]
fn tones_are_heard_at_their_pitch() {
    for rate in [8_000_u32, 44_100, 48_000] {
        let payload = Payload {
            ladder: 0xbeef,
            bout: 91,
            kind: CodeKind::Finish,
            part: 0,
        };
        let word = Word::of(payload).expect("in range");
        let toner = Toner::new(rate);
        let sound = toner.render(&word);
        assert_eq!(sound.len(), toner.samples());
        let length = sound.len() / SYMBOLS;
        let hearing: Hearing = std::array::from_fn(|place| {
            std::array::from_fn(|tone| {
                let step = std::f64::consts::TAU * frequency(tone as u8) / f64::from(rate);
                let part = &sound[place * length..(place + 1) * length];
                let (re, im) = part
                    .iter()
                    .enumerate()
                    .fold((0.0, 0.0), |(re, im), (i, x)| {
                        let (sin, cos) = (step * i as f64).sin_cos();
                        (re + f64::from(*x) * cos, im + f64::from(*x) * sin)
                    });
                (re * re + im * im) as f32
            })
        });
        let (read, errors) = Word::read(&hearing).expect("clear");
        assert_eq!((read.payload(), errors), (Some(payload), 0), "{rate} Hz");
        assert!(word.share(&hearing) > 0.95, "{}", word.share(&hearing));
    }
}
