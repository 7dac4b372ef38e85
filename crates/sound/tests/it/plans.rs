//! What a person may choose about a track, and what is refused.

use plimsoll_ladder::Catalogue;
use plimsoll_sound::{Plan, PlanError, Sound, TrackOptions, Until};

fn plan(id: &str, change: impl FnOnce(&mut TrackOptions)) -> Result<Plan, PlanError> {
    let catalogue = Catalogue::built_in();
    let mut options = TrackOptions::default();
    change(&mut options);
    Plan::new(catalogue.get(id).expect("built in"), &options, None)
}

fn sounds(plan: &Plan, sound: Sound) -> usize {
    plan.cues.iter().filter(|cue| cue.sound == sound).count()
}

#[test]
fn a_whole_track_has_every_cue_of_the_ladder() {
    let plan = plan("ir1", |_| ()).expect("a plan");
    for sound in [Sound::Start, Sound::Turn, Sound::Finish] {
        assert_eq!(sounds(&plan, sound), 91, "{sound:?}");
    }
    assert_eq!(sounds(&plan, Sound::Countdown), 5);
    assert_eq!(sounds(&plan, Sound::RecoveryEnd), 90);
    // 1 s of silence, 5 s counted down, the ladder, 5 s for the last words.
    assert!((plan.duration_s() - (6.0 + 1_714.580_868 + 5.0)).abs() < 1e-3);
}

#[test]
fn a_continuous_track_begins_and_ends_with_its_own_sounds_wherever_it_is_cut() {
    let plan = plan("msr20", |o| {
        o.from = Some("3.1".into());
        o.until = Some(Until::Label("4.8".into()));
        o.countdown_s = Some(3);
    })
    .expect("a plan");
    let real: Vec<_> = plan
        .cues
        .iter()
        .filter(|c| c.sound != Sound::Countdown)
        .collect();
    assert_eq!(real.iter().filter(|c| c.sound == Sound::Start).count(), 1);
    assert_eq!(real.last().map(|c| c.sound), Some(Sound::Finish));
    let start = real
        .iter()
        .find(|c| c.sound == Sound::Start)
        .expect("a start");
    assert_eq!(
        (start.label.as_str(), start.at.as_nanos()),
        ("3.1", 4_000_000_000)
    );
}

#[test]
fn a_timed_form_ends_with_stop_on_the_second() {
    let plan = plan("ir1", |o| o.until = Some(Until::Seconds(360))).expect("a plan");
    let last = plan.cues.last().expect("cues");
    assert_eq!(last.sound, Sound::Stop);
    assert_eq!(last.at.as_nanos(), plan.lead.as_nanos() + 360_000_000_000);
    assert!(last.word.is_some());
}

#[test]
fn every_cue_of_the_timeline_is_coded_where_there_is_room() {
    for test in Catalogue::built_in()
        .iter()
        .filter(|t| t.shape().is_paced())
    {
        let plan = Plan::new(test, &TrackOptions::default(), None).expect("a plan");
        let (mut coded, mut all) = (0, 0);
        for pair in plan.cues.windows(2) {
            let cue = &pair[0];
            if matches!(cue.sound, Sound::Countdown | Sound::RecoveryEnd) || pair[1].at == cue.at {
                continue;
            }
            all += 1;
            coded += usize::from(cue.word.is_some());
            let room = (pair[1].at.as_nanos() - cue.at.as_nanos()) as f64 / 1e9;
            assert!(cue.word.is_some() || room <= 0.7, "{}", test.id());
        }
        assert!(coded * 10 >= all * 9, "{}: {coded} of {all}", test.id());
    }
}

#[test]
fn what_cannot_be_is_refused_with_what_may() {
    let text = |r: Result<Plan, PlanError>| r.expect_err("refused").to_string();
    assert!(text(plan("run12", |_| ())).contains("not paced"));
    assert!(
        text(plan("ir2", |o| o.from = Some("14.3".into()))).contains("not on the ladder of `ir2`")
    );
    assert!(text(plan("ir1", |o| o.rate = 22_050)).contains("44100 or 48000"));
    let backwards = text(plan("ir1", |o| {
        o.from = Some("15.1".into());
        o.until = Some(Until::Label("14.1".into()));
    }));
    assert!(
        backwards.contains("choose an end after the start"),
        "{backwards}"
    );
}

/// A test of one's own with more bouts than the nine bits of a code can count.
#[test]
fn a_ladder_too_long_for_codes_has_a_track_without_them() {
    let text = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../protocols/int12_6.toml"
    ))
    .expect("a definition")
    .replace("id = \"int12_6\"", "id = \"long\"");
    let longer: String = text
        .lines()
        .map(|line| match line.split_once("bouts = ") {
            Some((before, count)) if before.trim().is_empty() => {
                format!(
                    "bouts = {}\n",
                    count.trim().parse::<u32>().map_or(0, |n| n * 40)
                )
            }
            _ => format!("{line}\n"),
        })
        .collect();
    let catalogue =
        Catalogue::with_user_files(&[("long.toml".to_owned(), longer)]).expect("a catalogue");
    let test = catalogue.get("long").expect("the long test");
    assert!(
        test.ladder()
            .and_then(|l| l.last())
            .is_some_and(|b| b.number > 511),
        "long enough"
    );
    let coded = Plan::new(test, &TrackOptions::default(), None).expect_err("no codes");
    assert!(coded.to_string().contains("without the code"), "{coded}");
    let bare = TrackOptions {
        code: false,
        ..TrackOptions::default()
    };
    let plan = Plan::new(test, &bare, None).expect("a plan");
    assert!(plan.cues.len() > 1_000);
}
