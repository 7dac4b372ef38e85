//! Training from a final speed: worked examples, every refusal, groups and their laws.

use plimsoll_interpret::data::TrainingBasis;
use plimsoll_interpret::training::{
    Banded, Correction, Course, Doubt, GroupChoices, HAYDAR_STRAIGHT, Intensity, Interval, Rules,
    Runner, Speeds, TrainingRefusal, Trial, Work, critical_fits, format_of, groups, intensity_of,
    is_implausible, plan, trial_words, work,
};
use plimsoll_interpret::{Catalogue, Confidence};
use proptest::prelude::*;

use crate::catalogue;

/// Distances in the notes are printed to 0.1 m.
const PRINTED: f64 = 0.05;
/// Double rounding only.
const EXACT: f64 = 1e-9;

fn basis(test: &str) -> TrainingBasis {
    catalogue().basis(test).expect("a basis").clone()
}

fn at(kmh: f64) -> Speeds {
    Speeds {
        reference_kmh: kmh,
        sprint_kmh: None,
    }
}

fn asked(
    test: &str,
    kmh: f64,
    percent: f64,
    course: Course,
    rules: Rules,
) -> Result<Work, TrainingRefusal> {
    let how = Intensity::Percent(percent);
    work(&basis(test), &at(kmh), how, course, 15.0, &rules)
}

#[track_caller]
fn refused(test: &str, percent: f64, course: Course, rules: Rules) -> String {
    asked(test, 19.0, percent, course, rules)
        .expect_err("refused")
        .to_string()
}

const HAND: Rules = Rules {
    turn_s: None,
    straight_factor: None,
    factor: None,
};

/// Source: interpretation notes, section 7: 95 % of 19 km/h, 15 s.
#[test]
fn worked_example_straight_and_over_twenty_metres() {
    let straight = asked("int30_15_40", 19.0, 95.0, Course::Straight, HAND).expect("a run");
    assert!((straight.distance_m - 75.2).abs() < PRINTED, "{straight:?}");
    assert_eq!(
        (straight.turns, straight.correction),
        (0, Correction::Uncorrected)
    );
    let lanes = asked("int30_15_40", 19.0, 95.0, Course::Lane(20.0), HAND).expect("a run");
    assert!((lanes.distance_m - 64.7).abs() < PRINTED, "{lanes:?}");
    assert_eq!(lanes.turns, 3);
    assert_eq!(lanes.correction, Correction::PerTurn { seconds: 0.7 });
    assert!((lanes.straight_m - straight.distance_m).abs() < EXACT);
}

#[test]
fn the_loss_per_turn_can_be_set_and_none_is_straight() {
    let rules = |turn_s| Rules {
        turn_s: Some(turn_s),
        ..HAND
    };
    let none = asked("int30_15_40", 19.0, 95.0, Course::Lane(20.0), rules(0.0)).expect("a run");
    assert!((none.distance_m - none.straight_m).abs() < EXACT);
    let slow = asked("int30_15_40", 19.0, 95.0, Course::Lane(20.0), rules(1.0)).expect("a run");
    // 15 s less three turns of 1 s at 5.0139 m/s.
    assert!((slow.distance_m - 60.1667).abs() < 1e-3, "{slow:?}");
}

/// The final speed holds the turns of its own lane; 28 and 40 m stand for each other.
#[test]
fn no_correction_on_the_tests_own_lane() {
    for (test, lane, turns) in [
        ("int30_15_40", 40.0, 1),
        ("int30_15_40", 28.0, 2),
        ("int30_15_28", 40.0, 1),
        ("int30_15_28", 28.0, 2),
        ("int30_15_20", 20.0, 3),
    ] {
        let got = asked(test, 19.0, 95.0, Course::Lane(lane), HAND).expect("a run");
        assert_eq!(got.correction, Correction::AlreadyIn, "{test} {lane}");
        assert!((got.distance_m - got.straight_m).abs() < EXACT);
        assert_eq!(got.turns, turns, "{test} {lane}");
    }
    let got = asked("int30_15_20", 19.0, 95.0, Course::Lane(40.0), HAND).expect("a run");
    assert!(matches!(got.correction, Correction::PerTurn { .. }));
}

/// Source: Haydar 2011, abstract read: 103.1 % in a straight line.
#[test]
fn the_straight_factor_is_applied_when_asked_for() {
    let rules = Rules {
        straight_factor: Some(HAYDAR_STRAIGHT),
        ..HAND
    };
    let got = asked("int30_15_40", 19.0, 95.0, Course::Straight, rules).expect("a run");
    assert!((got.distance_m - got.straight_m * 1.031).abs() < EXACT);
}

#[test]
fn both_corrections_at_once_are_refused() {
    let both = Rules {
        straight_factor: Some(1.031),
        turn_s: Some(0.7),
        factor: None,
    };
    assert_eq!(
        refused("int30_15_40", 95.0, Course::Lane(20.0), both),
        "a straight-line factor (1.031) and a loss per turn (0.7 s) are both given; each stands \
         for the turns, so they would be counted twice: give one of them"
    );
    let own = Rules {
        turn_s: Some(0.7),
        ..HAND
    };
    assert_eq!(
        refused("int30_15_40", 95.0, Course::Lane(40.0), own),
        "a loss per turn (0.7 s) is given for 40 m lanes, but the final speed of `int30_15_40` \
         already holds the turns of such lanes: leave the loss out, or take another lane"
    );
    let factor = Rules {
        straight_factor: Some(1.031),
        ..HAND
    };
    for (test, course, found) in [
        ("int30_15_40", Course::Lane(20.0), "20 m lanes"),
        ("int30_15_28", Course::Straight, "`int30_15_28`"),
        ("track_2min", Course::Straight, "`track_2min`"),
    ] {
        assert_eq!(
            refused(test, 95.0, course, factor),
            format!(
                "a straight-line factor (1.031) is given for {found}; it was measured for straight \
                 runs from a final speed over 40 m lanes: leave it out"
            )
        );
    }
}

#[test]
fn too_fast_and_too_short_lanes_are_refused() {
    assert!(asked("int30_15_40", 19.0, 110.0, Course::Straight, HAND).is_ok());
    assert_eq!(
        refused("int30_15_40", 110.5, Course::Straight, HAND),
        "110.5 % of the final speed is asked for; the rule fails above 110 %: take a lower \
         percentage, or a sprint speed and a share of the reserve"
    );
    assert!(asked("track_2min", 18.0, 120.0, Course::Straight, HAND).is_ok());
    assert!(asked("int30_15_40", 19.0, 95.0, Course::Lane(10.0), HAND).is_ok());
    assert_eq!(
        refused("int30_15_40", 95.0, Course::Lane(9.9), HAND),
        "the lane is 9.9 m; the rule for turns fails under 10 m: take a longer lane"
    );
    let slow = Rules {
        turn_s: Some(5.0),
        ..HAND
    };
    let none = asked("track_2min", 40.0, 200.0, Course::Lane(10.0), slow).expect_err("no time");
    assert_eq!(
        none.to_string(),
        "the turns leave no time to run in 15 s over 10 m lanes; take a longer lane, a longer run \
         or a smaller loss per turn"
    );
}

#[test]
fn speeds_after_rests_need_a_factor_of_the_users_own() {
    for test in ["ir1", "ir2", "ir1c", "int45_15"] {
        assert_eq!(
            refused(test, 95.0, Course::Straight, HAND),
            format!(
                "the final speed of `{test}` is reached after rests and gives no speed for running \
                 without them; enter a factor of your own from it to maximal aerobic speed, or \
                 take another test"
            )
        );
    }
    let own = Rules {
        factor: Some(0.95),
        ..HAND
    };
    let got = asked("ir1", 16.0, 100.0, Course::Straight, own).expect("a run");
    assert!((got.speed_kmh - 15.2).abs() < EXACT);
    let wild = Rules {
        factor: Some(3.0),
        ..HAND
    };
    assert_eq!(
        refused("ir1", 95.0, Course::Straight, wild),
        "factor to maximal aerobic speed is 3; allowed is 0.5 to 1.5; correct the value"
    );
}

#[test]
fn a_shuttle_speed_gives_shuttles_at_itself_only() {
    let got = asked("msr20", 13.0, 100.0, Course::Lane(20.0), HAND).expect("a run");
    assert!((got.distance_m - 13.0 / 3.6 * 15.0).abs() < EXACT);
    assert_eq!((got.turns, got.correction), (2, Correction::AlreadyIn));
    for (percent, course, found) in [
        (100.0, Course::Straight, "100 % in a straight line"),
        (105.0, Course::Lane(20.0), "105 % over 20 m lanes"),
        (100.0, Course::Lane(40.0), "100 % over 40 m lanes"),
    ] {
        assert_eq!(
            refused("msr20", percent, course, HAND),
            format!(
                "the final speed of `msr20` is a shuttle speed, below maximal aerobic speed \
                 because of the turns; it is offered as shuttle intervals over 20 m lanes at 100 % \
                 of itself, found {found}; take that, or enter a factor of your own"
            )
        );
    }
    let own = Rules {
        factor: Some(1.1),
        ..HAND
    };
    let got = asked("msr20", 13.0, 105.0, Course::Straight, own).expect("a run");
    assert!((got.speed_kmh - 13.0 * 1.1 * 1.05).abs() < EXACT);
}

#[test]
fn the_reserve_parts_people_with_one_aerobic_speed() {
    let with = |sprint| Speeds {
        reference_kmh: 18.0,
        sprint_kmh: sprint,
    };
    let of = |test: &str, speeds: &Speeds, share: f64| {
        let how = Intensity::Reserve(share);
        work(&basis(test), speeds, how, Course::Straight, 15.0, &HAND)
    };
    let slow = of("track_2min", &with(Some(28.0)), 0.2).expect("a run");
    let fast = of("track_2min", &with(Some(33.0)), 0.2).expect("a run");
    assert!((slow.speed_kmh - 20.0).abs() < EXACT && (fast.speed_kmh - 21.0).abs() < EXACT);
    assert_eq!(
        of("track_2min", &with(None), 0.2)
            .expect_err("refused")
            .to_string(),
        "a share of the speed reserve needs a maximal sprint speed, and there is none; add the \
         column mss_kmh, or give a percentage"
    );
    assert_eq!(
        of("int30_15_40", &with(Some(30.0)), 0.2)
            .expect_err("refused")
            .to_string(),
        "a share of the speed reserve needs maximal aerobic speed; the final speed of \
         `int30_15_40` is not that: give a percentage, or a factor of your own"
    );
    assert!(of("track_2min", &with(Some(17.0)), 0.2).is_err());
    assert!(of("track_2min", &with(Some(30.0)), 1.2).is_err());
}

#[test]
fn values_that_are_not_speeds_are_refused() {
    for kmh in [0.0, -3.0, f64::NAN, f64::INFINITY, 80.0] {
        assert!(
            asked("track_2min", kmh, 100.0, Course::Straight, HAND).is_err(),
            "{kmh}"
        );
    }
    for percent in [0.0, 9.0, 201.0, f64::NAN] {
        assert!(asked("track_2min", 18.0, percent, Course::Straight, HAND).is_err());
    }
    for lane in [0.0, -20.0, f64::NAN, 2000.0] {
        assert!(asked("track_2min", 18.0, 100.0, Course::Lane(lane), HAND).is_err());
    }
    let how = Intensity::Percent(100.0);
    let (track, speed) = (basis("track_2min"), at(18.0));
    for seconds in [0.0, -1.0, f64::NAN, 4000.0] {
        assert!(work(&track, &speed, how, Course::Straight, seconds, &HAND).is_err());
    }
}

#[test]
fn formats_come_from_the_table_with_their_middle() {
    let facts = catalogue();
    let middle = |format: &str, test: &str| {
        let format = format_of(&facts, format).expect("a format");
        intensity_of(&format, basis(test).kind, None)
    };
    assert_eq!(middle("15:15", "int30_15_40"), Ok(Intensity::Percent(97.5)));
    assert_eq!(middle("15:15", "track_2min"), Ok(Intensity::Percent(115.0)));
    assert_eq!(middle("30:30", "int30_15_40"), Ok(Intensity::Percent(92.5)));
    // 180 s with 90 s of rest lies within the long format.
    assert_eq!(
        middle("180:90", "int30_15_40"),
        Ok(Intensity::Percent(83.5))
    );
    assert_eq!(middle("15:15", "msr20"), Ok(Intensity::Percent(100.0)));
    assert_eq!(
        middle("20:40", "int30_15_40")
            .expect_err("no row")
            .to_string(),
        "the table has no intensity for `20:40` from this kind of speed; give a percentage or a \
         share of the reserve"
    );
    assert_eq!(
        middle("sprint interval", "track_2min")
            .expect_err("maximal")
            .to_string(),
        "`sprint interval` is run as fast as possible, so there is no speed to prescribe; give a \
         percentage, or take another format"
    );
    assert_eq!(
        format_of(&facts, "tempo").expect_err("unknown").to_string(),
        "there is no interval format `tempo` in the table; it has long, 60:30, 30:30, 30:15, \
         15:15, 10:10, repeated sprint, sprint interval; for other times give work:rest in seconds \
         and a percentage"
    );
    for wrong in ["0:15", "15:-1", "NaN:15", "9999:15"] {
        assert!(format_of(&facts, wrong).is_err(), "{wrong}");
    }
    for row in &facts.intervals {
        assert_eq!(row.confidence, Confidence::FromMemory, "{}", row.format);
    }
}

#[test]
fn a_users_row_replaces_a_format() {
    let mut facts: Catalogue = catalogue();
    let header = "format = 1\nkind = \"intervals\"\nid = \"ours\"\ntitle = \"Ours\"\n";
    let head = "format,title,work_low_s,work_high_s,rest_low_s,rest_high_s,mas_low,mas_high,\
                final_low,final_high,volume,source,confidence\n";
    let row =
        "15:15,ours,15,15,15,15,108,112,90,94,2 sets,own notes,\"common practice, no source\"\n";
    let table = format!("{head}{row}");
    facts
        .add([("ours.toml", header), ("ours.csv", table.as_str())])
        .expect("taken");
    let format = format_of(&facts, "15:15").expect("a format");
    let got = intensity_of(&format, basis("int30_15_40").kind, None);
    assert_eq!(got, Ok(Intensity::Percent(92.0)));
    let broken = format!("{head}{}", row.replace("108", "130"));
    let other = header.replace("ours", "theirs");
    let fault = facts
        .add([
            ("theirs.toml", other.as_str()),
            ("theirs.csv", broken.as_str()),
        ])
        .expect_err("falls");
    assert_eq!(
        fault.to_string(),
        "theirs.csv, row 2, column `mas_low`: found `130`, allowed is two percentages up to 200 \
         that rise, or two empty cells"
    );
}

fn squad(speeds: &[f64], error: Option<f64>) -> Vec<Runner> {
    speeds
        .iter()
        .enumerate()
        .map(|(n, &speed_kmh)| Runner {
            name: format!("Runner {}", n + 1),
            speed_kmh,
            error_kmh: error,
            doubt: None,
        })
        .collect()
}

#[test]
fn bands_hold_their_scores_in_the_middle() {
    let people = squad(&[17.0, 17.5, 18.0, 18.5, 20.0], Some(0.36));
    let got = groups(&people, &GroupChoices::default()).expect("groups");
    let seen: Vec<(usize, f64, usize)> = got
        .groups
        .iter()
        .map(|g| (g.number, g.middle_kmh, g.members.len()))
        .collect();
    // 16.75 to 17.75 and on; nobody is in 18.75 to 19.75, group 2.
    assert_eq!(seen, [(1, 20.25, 1), (3, 18.25, 2), (4, 17.25, 2)]);
    assert_eq!(
        got.width_basis,
        "1 km/h, not under one typical error (0.36 km/h)"
    );
    assert_eq!(got.place(2), Some(Banded::In(3)));
    // 18.5 in 17.75 to 18.75: 1 - (Φ(0.25 / 0.36) - Φ(-0.75 / 0.36)) = 1 - (0.75633 - 0.01861).
    let middle = &got.groups[1].members[0];
    assert_eq!(middle.index, 3);
    assert!(
        (middle.chance_other.expect("a chance") - 0.26228).abs() < 1e-4,
        "{middle:?}"
    );
    // 17.0 in the slowest band can only belong higher: 1 - Φ(0.75 / 0.36).
    let slowest = got.groups[2]
        .members
        .iter()
        .find(|m| m.index == 0)
        .expect("there");
    assert!((slowest.chance_other.expect("a chance") - 0.01861).abs() < 1e-4);
}

#[test]
fn bands_are_never_narrower_than_the_error() {
    let people = squad(&[17.0, 17.5, 18.0], Some(0.36));
    let asked = |width| GroupChoices {
        width_kmh: Some(width),
        ..GroupChoices::default()
    };
    assert_eq!(
        groups(&people, &asked(0.25))
            .expect_err("refused")
            .to_string(),
        "bands of 0.25 km/h are narrower than one typical error (0.36 km/h): they would sort \
         people by chance; allowed are 0.36 km/h or more"
    );
    assert_eq!(groups(&people, &asked(0.5)).expect("groups").width_kmh, 0.5);
    let wide = groups(&squad(&[17.0, 19.0], Some(1.4)), &GroupChoices::default()).expect("groups");
    assert_eq!(wide.width_kmh, 1.4);
    assert!(groups(&people, &asked(-1.0)).is_err());
    assert!(groups(&squad(&[17.0, 17.5], None), &asked(f64::NAN)).is_err());
    let far = groups(&squad(&[2.0, 44.0], Some(0.1)), &asked(0.2)).expect_err("too many bands");
    assert!(far.to_string().contains("at most 40 bands"), "{far}");
    let unknown = groups(&squad(&[17.0], None), &GroupChoices::default()).expect("groups");
    assert_eq!(unknown.groups[0].members[0].chance_other, None);
    assert!(unknown.width_basis.contains("no typical error is known"));
}

#[test]
fn first_trials_are_not_grouped_without_a_mark() {
    let mut people = squad(&[17.0, 18.0, 19.0, 1.0], Some(0.36));
    people[0].doubt = Some(Doubt::FirstTrial);
    people[1].doubt = Some(Doubt::AtLeast);
    people[3].doubt = Some(Doubt::NoSpeed);
    let got = groups(&people, &GroupChoices::default()).expect("groups");
    assert_eq!(got.place(0), Some(Banded::Apart(Doubt::FirstTrial)));
    assert_eq!(got.place(1), Some(Banded::Apart(Doubt::AtLeast)));
    assert_eq!(got.place(3), Some(Banded::Apart(Doubt::NoSpeed)));
    let all = GroupChoices {
        with_doubt: true,
        ..GroupChoices::default()
    };
    let got = groups(&people, &all).expect("groups");
    assert_eq!(got.place(0), Some(Banded::In(3)));
    assert_eq!(got.place(3), Some(Banded::Apart(Doubt::NoSpeed)));
    people[2].doubt = Some(Doubt::FirstTrial);
    assert_eq!(
        groups(&people, &GroupChoices::default())
            .expect_err("nobody")
            .to_string(),
        "there is nobody to group: 2 first trials, 1 known only as \"at least\", 1 without a \
         speed; test them again, or group those with a speed all the same with a mark"
    );
}

#[test]
fn the_coach_moves_people_by_name() {
    let people = squad(&[17.0, 18.0, 19.0], Some(0.36));
    let moved = |name: &str, to| GroupChoices {
        moves: vec![(name.to_owned(), to)],
        ..GroupChoices::default()
    };
    let got = groups(&people, &moved(" runner 1", 1)).expect("groups");
    assert_eq!(got.place(0), Some(Banded::In(1)));
    let member = got.groups[0]
        .members
        .iter()
        .find(|m| m.index == 0)
        .expect("there");
    assert_eq!(member.moved_from, Some(3));
    assert!(member.chance_other.expect("a chance") > 0.99);
    assert_eq!(
        groups(&people, &moved("Runner 9", 1))
            .expect_err("nobody")
            .to_string(),
        "a move names `Runner 9`, who is not in the list; the names are Runner 1, Runner 2, Runner 3"
    );
    assert_eq!(
        groups(&people, &moved("Runner 1", 4))
            .expect_err("nowhere")
            .to_string(),
        "a move puts `Runner 1` into group 4; the groups are 1 to 3"
    );
    assert!(groups(&people, &moved("Runner 1", 0)).is_err());
    let mut twins = people;
    twins[1].name = "RUNNER 1".to_owned();
    let both = groups(&twins, &moved("Runner 1", 1)).expect_err("two");
    assert!(
        both.to_string().contains("is there more than once"),
        "{both}"
    );
}

proptest! {
    /// Everyone is somewhere once, inside the band, whatever the order of the list.
    #[test]
    fn everyone_is_in_one_band(
        speeds in prop::collection::vec(10.0..22.0_f64, 1..30),
        error in 0.1..0.9_f64,
    ) {
        let got = groups(&squad(&speeds, Some(error)), &GroupChoices::default()).expect("groups");
        let count: usize = got.groups.iter().map(|g| g.members.len()).sum();
        prop_assert_eq!(count, speeds.len());
        for group in &got.groups {
            prop_assert!((group.high_kmh - group.low_kmh - got.width_kmh).abs() < EXACT);
            for member in &group.members {
                let speed = speeds[member.index];
                prop_assert!(group.low_kmh - 1e-6 <= speed && speed < group.high_kmh + 1e-6);
                prop_assert!((0.0..=1.0).contains(&member.chance_other.expect("a chance")));
            }
        }
        let mut back = squad(&speeds, Some(error));
        back.reverse();
        let other = groups(&back, &GroupChoices::default()).expect("groups");
        for index in 0..speeds.len() {
            prop_assert_eq!(got.place(index), other.place(speeds.len() - 1 - index));
        }
    }

    /// Shuttles are never longer than the straight run, and the distance is that of its turns.
    /// More loss may still give a longer run: where turn counts swap for ever the rule keeps the
    /// smaller distance, see docs/methods/training.md.
    #[test]
    fn turns_only_cost(kmh in 8.0..22.0_f64, lane in 10.0..100.0_f64, loss in 0.0..1.5_f64) {
        let rules = Rules { turn_s: Some(loss), ..HAND };
        let got = asked("track_2min", kmh, 100.0, Course::Lane(lane), rules).expect("a run");
        prop_assert!(got.distance_m <= got.straight_m + EXACT);
        let run = kmh / 3.6 * (15.0 - loss * f64::from(got.turns));
        prop_assert!((got.distance_m - run).abs() < EXACT);
    }
}

fn trials(pairs: &[(f64, f64)]) -> Vec<Trial> {
    pairs
        .iter()
        .map(|&(distance, time)| Trial { distance, time })
        .collect()
}

#[test]
fn trials_are_planned_to_seventy_percent_and_warned_of() {
    // CS 4.2 m/s, D′ 180 m; 30 s at 18 km/h spends 24 m, so that five without rest are 120 m.
    let five = plan(4.2, 180.0, 18.0, 30.0, 0.0).expect("a plan");
    assert!((five.spent_m - 24.0).abs() < EXACT);
    assert_eq!(five.runs, Some(5));
    let below = plan(4.2, 180.0, 14.0, 30.0, 15.0).expect("a plan");
    assert_eq!((below.runs, below.spent_m), (None, 0.0));
    assert!(plan(4.2, -3.0, 18.0, 30.0, 0.0).is_err());
    let good = trials(&[(684.0, 120.0), (1692.0, 360.0), (2700.0, 600.0)]);
    let fits = critical_fits(&good, 0.95).expect("fits");
    assert_eq!(trial_words(&fits, &good), Vec::<String>::new());
    let two = trials(&[(1200.0, 100.0), (1400.0, 120.0)]);
    let fits = critical_fits(&two, 0.95).expect("fits");
    let words = trial_words(&fits, &two).join("\n");
    assert!(
        words.contains("two trials give a line and no interval"),
        "{words}"
    );
    assert!(
        words.contains("1 of the trials are shorter than 2 min"),
        "{words}"
    );
    assert!(
        words.contains("is not twice as long as the shortest (100 s)"),
        "{words}"
    );
    let back = trials(&[(1200.0, 300.0), (2400.0, 590.0), (3600.0, 850.0)]);
    let fits = critical_fits(&back, 0.95).expect("fits");
    assert!(is_implausible(&fits));
    assert!(
        trial_words(&fits, &back)
            .iter()
            .any(|w| w.contains("were not slower"))
    );
    let first = fits.fits[0].speed_interval.map(|i: Interval| i.level);
    assert_eq!(first, Some(0.95));
}
