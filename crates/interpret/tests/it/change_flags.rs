//! Flags: each is raised by its cause, not without it, and brings its studies.

use plimsoll_interpret::change::{ChangeContext, Flag, FlagCode, Observation, assess_change};
use plimsoll_interpret::{Sex, Unit};

use crate::{catalogue, person};

fn plain(day: i64) -> Observation {
    Observation {
        trial_number: Some(4),
        rules: Some("a".into()),
        surface: Some("grass".into()),
        wbgt_c: Some(16.0),
        air_c: Some(18.0),
        indoor: Some(false),
        footwear: Some("studs".into()),
        time_of_day_min: Some(18 * 60),
        course_length_mm: Some(20_000),
        caffeine: Some(false),
        sleep_h: Some(8.0),
        ill: Some(false),
        reason_recorded: Some(true),
        ..Observation::new(day, 1600.0, Unit::Metres)
    }
}

/// Returns the flags of the result itself and of the comparison with the earlier one.
fn flags(old: Observation, now: &Observation) -> Vec<Flag> {
    let man = person(Sex::Male, 24.0);
    let context = ChangeContext::new("ir1", &man);
    let report = assess_change(&catalogue(), &[old], now, &context).expect("a report");
    let mut all = report.flags;
    all.extend(report.previous.expect("a comparison").flags);
    all
}

fn only(flags: &[Flag]) -> &Flag {
    assert_eq!(flags.len(), 1, "{flags:#?}");
    &flags[0]
}

#[test]
fn alike_raises_none() {
    assert!(flags(plain(0), &plain(30)).is_empty());
}

#[test]
fn unknown_raises_none() {
    let unknown = Observation::new(30, 1600.0, Unit::Metres);
    assert!(flags(plain(0), &unknown).is_empty());
    assert!(flags(Observation { day: 0, ..unknown }, &plain(30)).is_empty());
}

#[test]
fn every_cause_raises_its_flag() {
    let now = plain(30);
    let cases: [(Observation, FlagCode, &str); 14] = [
        (
            Observation {
                surface: Some("turf".into()),
                ..now.clone()
            },
            FlagCode::SurfaceChanged,
            "surface was turf, the earlier one grass",
        ),
        (
            Observation {
                indoor: Some(true),
                ..now.clone()
            },
            FlagCode::IndoorChanged,
            "run indoors, the earlier one outdoors",
        ),
        (
            Observation {
                wbgt_c: Some(21.5),
                ..now.clone()
            },
            FlagCode::HeatApart,
            "WBGT temperature 21.5 degrees C, the earlier one 16",
        ),
        (
            Observation {
                time_of_day_min: Some(9 * 60),
                ..now.clone()
            },
            FlagCode::TimeOfDayApart,
            "started at 09:00, the earlier one at 18:00",
        ),
        (
            Observation {
                caffeine: Some(true),
                ..now.clone()
            },
            FlagCode::CaffeineDiffers,
            "caffeine this time only",
        ),
        (
            Observation {
                footwear: Some("flats".into()),
                ..now.clone()
            },
            FlagCode::FootwearChanged,
            "footwear was flats, the earlier time studs",
        ),
        (
            Observation {
                course_length_mm: Some(19_900),
                ..now.clone()
            },
            FlagCode::CourseDiffers,
            "the course was 19.9 m long, the earlier one 20 m",
        ),
        (
            Observation {
                rules: Some("b".into()),
                ..now.clone()
            },
            FlagCode::RulesChanged,
            "ladder or rule settings differ between the two results",
        ),
        (
            Observation {
                ill: Some(true),
                ..now.clone()
            },
            FlagCode::Ill,
            "ill on the day",
        ),
        (
            Observation {
                sleep_h: Some(4.5),
                ..now.clone()
            },
            FlagCode::PoorSleep,
            "only 4.5 h of sleep the night before",
        ),
        (
            Observation {
                reason_recorded: Some(false),
                ..now.clone()
            },
            FlagCode::ReasonMissing,
            "no reason for stopping is recorded, so the result may be \"at least\"",
        ),
        (
            Observation {
                lower_bound: true,
                ..now.clone()
            },
            FlagCode::LowerBoundNow,
            "this result is only known as \"at least\"",
        ),
        (
            Observation {
                ceiling: true,
                ..now.clone()
            },
            FlagCode::CeilingNow,
            "the ladder ended before the runner did: \"at least\" this result",
        ),
        (
            Observation {
                day: 1,
                ..now.clone()
            },
            FlagCode::ShortGap,
            "less than 48 h between the two results: fatigue may not have gone",
        ),
    ];
    for (changed, code, words) in cases {
        let found = flags(plain(0), &changed);
        let flag = only(&found);
        assert_eq!((flag.code, flag.words.as_str()), (code, words));
    }
}

#[test]
fn causes_on_the_earlier_side() {
    let old = plain(0);
    let cases = [
        (
            Observation {
                lower_bound: true,
                ..old.clone()
            },
            FlagCode::LowerBoundBefore,
        ),
        (
            Observation {
                ceiling: true,
                ..old.clone()
            },
            FlagCode::CeilingBefore,
        ),
        (
            Observation {
                ill: Some(true),
                ..old.clone()
            },
            FlagCode::Ill,
        ),
        (
            Observation {
                sleep_h: Some(5.0),
                ..old.clone()
            },
            FlagCode::PoorSleep,
        ),
        (
            Observation {
                reason_recorded: Some(false),
                ..old.clone()
            },
            FlagCode::ReasonMissing,
        ),
        (
            Observation {
                trial_number: Some(1),
                ..old.clone()
            },
            FlagCode::FirstTrial,
        ),
    ];
    for (changed, code) in cases {
        assert_eq!(only(&flags(changed, &plain(30))).code, code);
    }
    let second = Observation {
        trial_number: Some(2),
        ..plain(30)
    };
    let first = Observation {
        trial_number: Some(1),
        ..plain(0)
    };
    assert_eq!(only(&flags(first, &second)).code, FlagCode::LearningTrial);
}

#[test]
fn limits_are_not_crossed_by_touching_them() {
    let touching = [
        Observation {
            wbgt_c: Some(21.0),
            air_c: Some(23.0),
            ..plain(30)
        },
        Observation {
            time_of_day_min: Some(20 * 60),
            ..plain(30)
        },
        Observation {
            sleep_h: Some(6.0),
            ..plain(30)
        },
        plain(2),
    ];
    for now in touching {
        assert!(flags(plain(0), &now).is_empty(), "{now:?}");
    }
    // 23:30 and 00:30 are one hour apart.
    let late = Observation {
        time_of_day_min: Some(23 * 60 + 30),
        ..plain(0)
    };
    let early = Observation {
        time_of_day_min: Some(30),
        ..plain(30)
    };
    assert!(flags(late, &early).is_empty());
}

#[test]
fn globe_and_air_temperature_are_not_mixed() {
    let old = Observation {
        wbgt_c: Some(10.0),
        air_c: None,
        ..plain(0)
    };
    let now = Observation {
        wbgt_c: None,
        air_c: Some(30.0),
        ..plain(30)
    };
    assert!(flags(old, &now).is_empty());
    let old = Observation {
        wbgt_c: None,
        ..plain(0)
    };
    let now = Observation {
        air_c: Some(24.0),
        ..plain(30)
    };
    assert_eq!(only(&flags(old, &now)).code, FlagCode::HeatApart);
}

#[test]
fn flags_bring_their_studies() {
    let turf = Observation {
        surface: Some("turf".into()),
        ..plain(30)
    };
    let found = flags(plain(0), &turf);
    let first = &only(&found).evidence[0];
    assert_eq!(
        first.words,
        "natural grass minus artificial turf, ir1 distance: 2370 +/- 662 v 1441 +/- 463 (+64 %) m \
         (collegiate male soccer)"
    );
    assert!(first.source.contains("Ferigne 2025"));
    let early = Observation {
        time_of_day_min: Some(7 * 60),
        ..plain(30)
    };
    let found = flags(plain(0), &early);
    let sources: String = only(&found)
        .evidence
        .iter()
        .map(|e| e.source.as_str())
        .collect();
    assert!(sources.contains("Chtourou 2012") && sources.contains("BMC Res Notes 2022"));
    // A gap in the literature is said, not hidden.
    let flats = Observation {
        footwear: Some("flats".into()),
        ..plain(30)
    };
    let found = flags(plain(0), &flats);
    assert!(
        only(&found).evidence[0]
            .words
            .contains("no usable study found")
    );
}
