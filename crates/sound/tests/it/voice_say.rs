//! What is said: order of words, the shortening rule, edges of the sound.

use plimsoll_sound::voice::{Form, Language, Phrase, Voice};
use proptest::prelude::*;

use crate::voice::{decibels, rms, shared};

const RATE: u32 = 48_000;
const ANY_ROOM: usize = 20 * RATE as usize;

fn stage_bout(stage: &str, bout: &str, new_stage: bool) -> Phrase {
    Phrase::StageBout {
        stage: stage.to_owned(),
        bout: bout.to_owned(),
        new_stage,
    }
}

fn text(voice: &Voice, phrase: &Phrase) -> Option<String> {
    voice.say(phrase, RATE, ANY_ROOM).map(|said| said.text)
}

#[test]
fn each_language_has_its_order_of_words() {
    let expected = [
        (Language::English, "stage fourteen, bout three"),
        (Language::Spanish, "etapa catorce, serie tres"),
        (Language::French, "palier quatorze, course trois"),
        (Language::German, "Stufe vierzehn, Lauf drei"),
        (Language::Portuguese, "estágio catorze, corrida três"),
        (Language::Japanese, "ステージじゅうよん、さん番目"),
        (Language::Arabic, "المرحلة رقم أربعة عشر، الشوط رقم ثلاثة"),
    ];
    for (language, words) in expected {
        let said = text(shared(language), &stage_bout("14", "3", false));
        assert_eq!(said.as_deref(), Some(words));
    }
}

#[test]
fn less_room_gives_a_shorter_form() {
    let voice = shared(Language::English);
    let phrase = stage_bout("14", "3", false);
    let full = voice.say(&phrase, RATE, ANY_ROOM).expect("room for all");
    assert_eq!(full.form, Form::Full);
    let exact = voice
        .say(&phrase, RATE, full.samples.len())
        .expect("fits exactly");
    assert_eq!(exact.form, Form::Full);
    let short = voice
        .say(&phrase, RATE, full.samples.len() - 1)
        .expect("short");
    assert_eq!(
        (short.form, short.text.as_str()),
        (Form::Short, "fourteen, three")
    );
    let shortest = voice
        .say(&phrase, RATE, short.samples.len() - 1)
        .expect("shortest");
    assert_eq!(
        (shortest.form, shortest.text.as_str()),
        (Form::Shortest, "three")
    );
    assert_eq!(voice.say(&phrase, RATE, shortest.samples.len() - 1), None);

    let new = stage_bout("14", "1", true);
    let shortest = voice
        .say(&new, RATE, short.samples.len() * 2 / 3)
        .expect("shortest");
    assert_eq!(
        (shortest.form, shortest.text.as_str()),
        (Form::Shortest, "fourteen")
    );
}

#[test]
fn decimals_seconds_and_single_words_are_said() {
    let voice = shared(Language::English);
    let stage = Phrase::Stage {
        stage: "17.5".to_owned(),
    };
    assert_eq!(
        text(voice, &stage).as_deref(),
        Some("stage seventeen point five")
    );
    let starts = |seconds| Phrase::StartsIn { seconds };
    for (seconds, words) in [
        (1, "the test starts in one second"),
        (30, "the test starts in thirty seconds"),
        (37, "the test starts in thirty-seven seconds"),
        (120, "the test starts in one hundred and twenty seconds"),
    ] {
        assert_eq!(text(voice, &starts(seconds)).as_deref(), Some(words));
    }
    for (phrase, words) in [
        (Phrase::Number(5), "five"),
        (Phrase::Rest, "rest"),
        (Phrase::Ready, "ready"),
        (Phrase::StopNow, "stop now"),
        (Phrase::TestEnds, "end of the test"),
        (Phrase::WarmUp, "warm-up"),
    ] {
        assert_eq!(text(voice, &phrase).as_deref(), Some(words));
    }
}

#[test]
fn seconds_that_would_not_agree_are_said_as_a_number() {
    let voice = shared(Language::French);
    let said = voice
        .say(&Phrase::StartsIn { seconds: 21 }, RATE, ANY_ROOM)
        .expect("the number");
    assert_eq!(
        (said.form, said.text.as_str()),
        (Form::Shortest, "vingt et un")
    );
}

#[test]
fn what_is_no_number_is_not_said() {
    let voice = shared(Language::German);
    for odd in ["", "a", "-1", "61", "17.25", "1.2.3", "4294967296"] {
        assert_eq!(text(voice, &stage_bout(odd, "3", false)), None, "{odd:?}");
        assert_eq!(text(voice, &stage_bout("3", odd, true)), None, "{odd:?}");
    }
    assert_eq!(text(voice, &Phrase::Number(u32::MAX)), None);
    assert_eq!(text(voice, &Phrase::StartsIn { seconds: 0 }), None);
    assert_eq!(text(voice, &Phrase::StartsIn { seconds: 75 }), None);
    for rate in [0, 7_999, 192_001, u32::MAX] {
        assert_eq!(voice.say(&Phrase::Rest, rate, usize::MAX), None);
    }
}

#[test]
fn loudness_and_length_hold_at_every_rate() {
    for language in Language::ALL {
        let voice = shared(language);
        for rate in [8_000, 16_000, 22_050, 44_100, 48_000, 44_101, 192_000] {
            for phrase in [
                Phrase::Rest,
                Phrase::Number(14),
                stage_bout("17.5", "21", true),
            ] {
                let said = voice.say(&phrase, rate, usize::MAX).expect("room enough");
                let at_16k = voice.say(&phrase, 16_000, usize::MAX).expect("room enough");
                let seconds = said.samples.len() as f64 / f64::from(rate);
                let stored = at_16k.samples.len() as f64 / 16_000.0;
                assert!((seconds - stored).abs() < 0.001, "{language} {rate}");
                // At 8 kHz the sound above 4 kHz is lost, which an "s" is made of.
                let tolerance = if rate < 16_000 { 4.0 } else { 0.5 };
                let off = decibels(rms(&said.samples) / rms(&at_16k.samples));
                assert!(off.abs() < tolerance, "{language} {rate}: {off:.2} dB");
                assert!(said.samples.iter().all(|s| s.abs() <= 1.0));
                assert_eq!(said.samples.first(), Some(&0.0));
                assert_eq!(said.samples.last(), Some(&0.0));
            }
        }
    }
}

#[test]
fn words_are_at_most_60_ms_apart_and_join_at_silence() {
    // Under a hundredth of full scale counts as a gap; the clips' own edges are part of it.
    for language in Language::ALL {
        let said = shared(language)
            .say(&Phrase::Number(14), RATE, ANY_ROOM)
            .expect("room enough");
        let both = Phrase::Stage {
            stage: "14".to_owned(),
        };
        let joined = shared(language)
            .say(&both, RATE, ANY_ROOM)
            .expect("room enough");
        let second = joined.samples.len() - said.samples.len();
        assert_eq!(
            joined.samples[second..],
            said.samples[..],
            "{language}: the same clip follows"
        );
        let silent = joined.samples[..second]
            .iter()
            .rev()
            .take_while(|s| **s == 0.0)
            .count();
        assert!(silent >= RATE as usize * 25 / 1000, "{language}");
        assert!(silent <= RATE as usize * 60 / 1000, "{language}");
    }
}

fn phrases() -> impl Strategy<Value = Phrase> {
    let label = prop_oneof![
        (0u32..=60).prop_map(|n| n.to_string()),
        "[0-9]{1,2}\\.[0-9]",
        ".{0,4}"
    ];
    prop_oneof![
        (label.clone(), label.clone(), any::<bool>()).prop_map(|(stage, bout, new_stage)| {
            Phrase::StageBout {
                stage,
                bout,
                new_stage,
            }
        }),
        label.prop_map(|stage| Phrase::Stage { stage }),
        (0u32..70).prop_map(Phrase::Number),
        (0u32..130).prop_map(|seconds| Phrase::StartsIn { seconds }),
        Just(Phrase::Rest),
        Just(Phrase::StopNow),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn shrinking_room_never_lengthens_and_never_overflows(
        phrase in phrases(),
        language in prop::sample::select(Language::ALL.to_vec()),
        rate in prop::sample::select(vec![16_000u32, 44_100, 48_000]),
        mut rooms in prop::collection::vec(0usize..250_000, 1..12),
    ) {
        let voice = shared(language);
        rooms.sort_unstable();
        let mut before: Option<Form> = None;
        for room in rooms {
            let said = voice.say(&phrase, rate, room);
            if let Some(said) = &said {
                prop_assert!(said.samples.len() <= room);
                prop_assert!(!said.text.is_empty());
            }
            let form = said.map(|said| said.form);
            prop_assert!(form >= before, "{before:?} then {form:?}");
            before = form;
        }
    }
}
