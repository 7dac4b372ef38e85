//! An invented day's sheets: names, places and numbers are made up and look made up.

use plimsoll_report::{
    ArrivalCheck, ArrivalPerson, AssessorSheet, Briefing, Cautions, DaySheets, EmergencyPlan,
    JoinCode, LadderStrip, Participation, RuleCard, RuleLine, Runner, SettingLine, StripBout, Tag,
    WaveRunner, WaveSheet, WaveStaff,
};

use crate::fixture::{DAY, NAMES};

/// Bouts of a strip in stages of eight, 2 × 20 m with 10 s between; invented speeds.
pub fn strip(id: &str, bouts: u32) -> LadderStrip {
    let mut clock = 0.0;
    let bouts = (0..bouts)
        .map(|n| {
            let speed = 10.0 + 0.5 * f64::from(n / 8);
            clock += 40.0 / (speed / 3.6);
            let finish_s = clock;
            clock += 10.0;
            StripBout {
                label: format!("{}.{}", 5 + n / 8, 1 + n % 8),
                distance_m: 40.0 * f64::from(n + 1),
                speed_kmh: speed,
                finish_s,
            }
        })
        .collect();
    LadderStrip {
        id: id.to_owned(),
        test_name: "Invented recovery shuttle run (2 × 20 m)".to_owned(),
        fingerprint: "3fa91c7be2d04455".to_owned(),
        miss_limit: 2,
        bouts,
    }
}

fn code(i: usize) -> Participation {
    match i {
        2 => Participation::Submaximal { stop_at_min: 6 },
        4 => Participation::Modified,
        6 => Participation::NotToday,
        _ => Participation::Full,
    }
}

/// Lanes for these names, from lane 1.
pub fn lanes(names: &[&str]) -> Vec<Runner> {
    let lane = |i: usize| u16::try_from(i + 1).expect("few lanes");
    let runner = |(i, name): (usize, &&str)| Runner {
        lane: lane(i),
        bib: (i + 11).to_string(),
        name: (*name).to_owned(),
        participation: code(i),
    };
    names.iter().enumerate().map(runner).collect()
}

/// A wave of these names with one assessor for every eight.
pub fn wave(names: &[&str]) -> WaveSheet {
    let assessors = ["Rhea Gorse", "Tam Fallow", "Ulla Sedgewick"];
    let runners = lanes(names).into_iter().enumerate();
    let runners = runners.map(|(i, r)| WaveRunner {
        lane: r.lane,
        bib: r.bib,
        name: r.name,
        participation: r.participation,
        assessor: assessors[i / 8 % 3].to_owned(),
    });
    let staff = |(i, name): (usize, &&str)| WaveStaff {
        name: (*name).to_owned(),
        lanes: format!("lanes {} to {}, far line", i * 8 + 1, i * 8 + 8),
    };
    WaveSheet {
        wave: "1".to_owned(),
        lead: "Maud Hollis".to_owned(),
        ladder: "inv91".to_owned(),
        start: "17:40".to_owned(),
        course: "20.02 m, taped twice".to_owned(),
        staff: assessors.iter().enumerate().map(staff).collect(),
        runners: runners.collect(),
    }
}

/// The sheet of one assessor for these names.
pub fn assessor(name: &str, ladder: &str, names: &[&str]) -> AssessorSheet {
    AssessorSheet {
        wave: "1".to_owned(),
        assessor: name.to_owned(),
        ladder: ladder.to_owned(),
        side: "far line, sun at your back; lane 1 on your left".to_owned(),
        start: "17:40".to_owned(),
        runners: lanes(names),
    }
}

/// A day with every sheet: a wave of 24, an assessor with eight lanes, one with 24.
pub fn sheets() -> DaySheets {
    let mut day = DaySheets::new(
        "Harbour Lane juniors, autumn test",
        DAY,
        "Harbour Lane, pitch 2",
    );
    day.ladders = vec![strip("inv91", 91), strip("inv247", 247)];
    day.waves = vec![wave(&NAMES[..24])];
    day.assessors = vec![
        assessor("Rhea Gorse", "inv91", &NAMES[..8]),
        assessor("Tam Fallow", "inv247", &NAMES[..24]),
    ];
    day.rules = vec![rules()];
    day.briefing = Some(briefing());
    day.emergency = Some(EmergencyPlan {
        leads: "Maud Hollis".to_owned(),
        calls: "Rhea Gorse".to_owned(),
        phone: "000 (invented)".to_owned(),
        aed_place: "club house, left of the door, green box".to_owned(),
        aed_walk_s: Some(110),
        opens_gate: "Tam Fallow, key on the ring of pitch 2".to_owned(),
        address: "Harbour Lane 0, Invented Bay".to_owned(),
        ..EmergencyPlan::default()
    });
    let person = |(i, name): (usize, &&str)| ArrivalPerson {
        bib: (i + 11).to_string(),
        name: (*name).to_owned(),
    };
    day.arrival = Some(ArrivalCheck {
        people: NAMES.iter().enumerate().map(person).collect(),
        spare: 2,
        group: true,
        slips: true,
    });
    day.join = vec![JoinCode {
        title: "Assess wave 1".to_owned(),
        wave: "1".to_owned(),
        url: "http://192.0.2.17:8080/join/1?t=K7QX".to_owned(),
        code: "K7QX".to_owned(),
        note: "Network: harbour-pitch".to_owned(),
    }];
    day
}

fn rules() -> RuleCard {
    let rule = |text: &str, tag: Tag, source: &str| RuleLine {
        text: text.to_owned(),
        tag,
        source: source.to_owned(),
    };
    let setting = |setting: &str, value: &str| SettingLine {
        setting: setting.to_owned(),
        value: value.to_owned(),
    };
    RuleCard {
        test_name: "Invented recovery shuttle run (2 × 20 m)".to_owned(),
        test_id: "inv91".to_owned(),
        fingerprint: "3fa91c7be2d04455".to_owned(),
        rules: vec![
            rule(
                "One foot on or over the line at the cue. Later than that is a miss",
                Tag::CommonPractice,
                "",
            ),
            rule(
                "The first miss is a warning, the second ends the run; misses add up",
                Tag::FromMemory,
                "S01",
            ),
            rule(
                "The last completed bout counts, not the one announced",
                Tag::SecondaryRead,
                "S02",
            ),
        ],
        settings: vec![
            setting("miss limit", "2"),
            setting("counting", "over the whole run"),
            setting("zone", "none, the line itself"),
            setting("countdown", "5 s"),
            setting("announcements", "stage and bout"),
        ],
        sources: vec!["S02: an invented citation, Larch & Osier 2008; 38: 37–51".to_owned()],
    }
}

fn briefing() -> Briefing {
    let paragraphs = [
        "Today we want to find out how long you can keep up with a pace that rises little by \
         little. It is not a race against each other: everybody ends where their own limit is.",
        "On the first tone you run to the far line and are there when the next tone sounds. Put a \
         foot on the line, turn, and be back at the start line with the tone after that. Then walk \
         to the cone behind you and back, and wait still behind the line until the next start.",
        "If you are late once, your assessor calls a warning. If you are late a second time, your \
         run is over. Walk off to your right, behind the cones, tell your assessor your number and \
         keep walking.",
        "Stop at once if your chest hurts, you feel faint, you cannot get your breath as you \
         usually do, or something hurts sharply. Nobody is punished for stopping. Anyone may ask \
         for the easier version and need not say why.",
        "Your result goes to you and to the coaching staff, to nobody else. Questions now, please.",
    ];
    Briefing {
        paragraphs: paragraphs.map(str::to_owned).to_vec(),
        easier: "six minutes at the same pace, then stop".to_owned(),
        cautions: Cautions::default(),
    }
}
