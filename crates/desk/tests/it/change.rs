//! A person's change out of the archive: level, pair, growth, and what is left out of growth.

use jiff::civil::Date;
use plimsoll_archive::{Archive, PersonFacts, PersonId, ResultFacts, Sex, World, Writer};
use plimsoll_desk::change::{ChangeError, PersonAnswer, of_person};
use plimsoll_desk::{Choices, plain_day};
use plimsoll_interpret::{Catalogue as Facts, Size};
use plimsoll_judge::{Amount, Outcome, StopReason};
use plimsoll_ladder::Catalogue;
use uuid::Uuid;

struct Desk;

impl World for Desk {
    fn now_ms(&self) -> i64 {
        1_795_000_000_000
    }

    fn new_id(&self) -> Uuid {
        Uuid::now_v7()
    }

    fn who(&self) -> String {
        "test".to_owned()
    }
}

/// Medians as straight as can be: 1000 m at 13 rising by 100 m a year, SD 0.2 of it; invented.
const TOML: &str = "format = 1\nkind = \"population\"\nid = \"own\"\ntitle = \"Own boys\"\nsource = \"invented\"\n\
    licence = \"own\"\nread = \"own\"\n";
const CSV: &str = "test,metric,unit,sex,age,age_min,age_max,n,kind,l,m,s,source,confidence\n\
    ir1,distance_m,m,M,13-19,13,13,90,lms,1,1000,0.2,invented,derived arithmetic\n\
    ir1,distance_m,m,M,13-19,19,19,90,lms,1,1600,0.2,invented,derived arithmetic\n";

struct Club {
    _folder: tempfile::TempDir,
    writer: Writer,
    boy: PersonId,
}

impl Club {
    fn new(born: Date, results: &[(Date, u32, StopReason)]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut writer = Archive::create(folder.path().join("archive"), Desk).expect("made");
        let facts = PersonFacts {
            called_name: "Person 1".to_owned(),
            sex: Some(Sex::Male),
            birth_date: Some(born),
            ..PersonFacts::default()
        };
        let boy = writer.add_person(&facts, &[]).expect("taken");
        let catalogue = Catalogue::built_in();
        let test = catalogue.get("ir1").expect("shipped");
        for (on, bouts, reason) in results {
            let day = writer.add_day(&plain_day(*on, test)).expect("taken");
            let facts = ResultFacts::of(Outcome {
                ladder: "ir1".to_owned(),
                amount: Amount::Bouts(*bouts),
                reason: *reason,
            });
            writer.add_result(boy, day, &facts).expect("taken");
        }
        Self {
            _folder: folder,
            writer,
            boy,
        }
    }

    fn ask(&self, choices: &Choices) -> Result<PersonAnswer, ChangeError> {
        let mut facts = Facts::built_in().expect("shipped");
        facts
            .add([("own.toml", TOML), ("own.csv", CSV)])
            .expect("taken");
        let catalogue = Catalogue::built_in();
        let test = catalogue.get("ir1").expect("shipped");
        let person = self.writer.person(self.boy).expect("read").expect("there");
        of_person(&self.writer, &facts, test, &person, choices)
    }
}

const fn on(year: i16, month: i8, day: i8) -> Date {
    Date::constant(year, month, day)
}

const END: StopReason = StopReason::Exhaustion;

#[test]
fn growth_is_spoken_of_over_eight_weeks_or_more_and_skips_what_is_only_at_least() {
    let club = Club::new(
        on(2011, 1, 1),
        &[
            (on(2025, 3, 1), 30, END),
            (on(2025, 9, 1), 20, StopReason::Injury),
            (on(2026, 3, 1), 34, END),
            (on(2026, 3, 20), 35, END),
        ],
    );
    let answer = club.ask(&Choices::default()).expect("an answer");
    let growth = answer.growth.clone().expect("young").expect("a reference");
    let dates: Vec<Option<Date>> = growth.since.iter().map(|s| s.since).collect();
    assert_eq!(dates, [Some(on(2026, 3, 1)), Some(on(2025, 3, 1))]);
    let headline = growth.headline().expect("one");
    assert_eq!(headline.since, Some(on(2025, 3, 1)));
    // 384 days; the median rises by 100 m in 365.25 of them.
    let want = 100.0 * 384.0 / 365.25;
    assert!(
        (headline.ways[0].expected - want).abs() < 1e-6,
        "{headline:?}"
    );
    // A year and its drift of z: 0.3 x root(384 / 365.25).
    assert!((headline.drift_of_z - 0.3 * (384.0_f64 / 365.25).sqrt()).abs() < 1e-9);
    // The level knows all four dates, the injured run too.
    let level = answer.level.as_ref().expect("a level");
    assert_eq!(level.changes.len(), 3);
    assert!(level.zone.0 < 0.0 && level.zone.1 > 0.0);
    // The curve is a density: its area is 1 but for the ends.
    let area: f64 = level
        .curve
        .windows(2)
        .map(|p| 0.5 * (p[0].1 + p[1].1) * (p[1].0 - p[0].0))
        .sum();
    assert!((0.97..1.01).contains(&area), "{area}");
    let figure = answer.figure().expect("drawn");
    assert!(
        figure.alt.contains("left since 1 Mar 2025"),
        "{}",
        figure.alt
    );
}

#[test]
fn a_last_run_cut_short_has_no_growth_and_the_grown_none_at_all() {
    let cut = [
        (on(2025, 3, 1), 30, END),
        (on(2026, 3, 1), 20, StopReason::Injury),
    ];
    let young = Club::new(on(2011, 1, 1), &cut)
        .ask(&Choices::default())
        .expect("an answer");
    let why = young.growth.expect("young").expect_err("no growth");
    assert!(why.contains("only known as \"at least\""), "{why}");
    let both = [(on(2025, 3, 1), 30, END), (on(2026, 3, 1), 32, END)];
    let grown = Club::new(on(2000, 1, 1), &both)
        .ask(&Choices::default())
        .expect("an answer");
    assert!(grown.growth.is_none());
    let once = Club::new(on(2011, 1, 1), &both[..1])
        .ask(&Choices::default())
        .expect("an answer");
    assert!(once.growth.is_none() && once.report.previous.is_none());
    assert_eq!(once.document()["difference"], serde_json::Value::Null);
}

#[test]
fn nobody_without_a_result_and_a_set_worth_moves_the_zone() {
    let none = Club::new(on(2011, 1, 1), &[]).ask(&Choices::default());
    assert!(matches!(none, Err(ChangeError::Nothing(_))));
    let both = [(on(2025, 3, 1), 30, END), (on(2026, 3, 1), 32, END)];
    let choices = Choices {
        worthwhile: Some(Size::Percent(10.0)),
        ..Choices::default()
    };
    let answer = Club::new(on(2011, 1, 1), &both)
        .ask(&choices)
        .expect("an answer");
    let (low, high) = answer.level.expect("a level").zone;
    // The same ratio either way: up 10 %, down 1 - 1/1.1.
    assert!((low / high + 1.0 / 1.1).abs() < 1e-9, "{low} {high}");
}
