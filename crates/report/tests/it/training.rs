//! The card of training groups: figure and page.

use plimsoll_report::{
    Cautions, ReportError, Tag, TrainingCard, TrainingGroup, TrainingNote, TrainingPerson,
    figure_training, render_training_pdf,
};

use crate::tools::Printed;

fn person(name: &str, speed: Option<f64>, group: Option<usize>) -> TrainingPerson {
    TrainingPerson {
        name: name.to_owned(),
        reference_kmh: speed,
        error_kmh: speed.map(|_| 0.36),
        group,
        moved_from: None,
        chance_other: group.map(|_| 0.26),
        speed_kmh: speed,
        distance_m: speed.map(|v| v / 3.6 * 15.0),
        turns: speed.map(|_| 3),
        group_percent: group.map(|_| 98.0),
        marks: if group.is_none() {
            vec!["first trial".to_owned()]
        } else {
            Vec::new()
        },
        refused: String::new(),
    }
}

fn card() -> TrainingCard {
    let group = |number, low_kmh: f64| TrainingGroup {
        number,
        low_kmh,
        high_kmh: low_kmh + 1.0,
        middle_kmh: low_kmh + 0.5,
        speed_kmh: Some(low_kmh + 0.5),
        distance_m: Some((low_kmh + 0.5) / 3.6 * 15.0),
        turns: Some(3),
    };
    let mut moved = person("Tove Birk", Some(17.0), Some(1));
    moved.moved_from = Some(2);
    TrainingCard {
        title: "Groups for intervals 15:15".to_owned(),
        origin: "An invented test · 2026-11-21".to_owned(),
        test: "int30_15_40".to_owned(),
        format: "15:15".to_owned(),
        work_s: 15.0,
        rest_s: 15.0,
        intensity: "95 % of the final speed".to_owned(),
        course: "to and fro over 20 m lanes, 0.7 s for each turn".to_owned(),
        volume: "2 sets".to_owned(),
        width_kmh: Some(1.0),
        width_basis: "1 km/h".to_owned(),
        groups: vec![group(1, 17.75), group(2, 16.75)],
        people: vec![
            person("Sol Heron", Some(18.5), Some(1)),
            moved,
            person("Wren <Osier> & Co", Some(17.0), Some(2)),
            person("Quin Plover", Some(16.0), None),
            person("Ada Finch", None, None),
        ],
        notes: vec![TrainingNote {
            text: "0.7 s lost in each turn".to_owned(),
            tag: Tag::FromMemory,
        }],
        cautions: Cautions::default(),
    }
}

#[test]
fn the_figure_shows_people_bands_and_doubts() {
    let figure = figure_training(&card()).expect("a figure");
    // A dot a plain score, a diamond a move, a ring a first trial; keys repeat two of them.
    assert_eq!(figure.svg.matches("mark-score").count(), 2);
    assert_eq!(figure.svg.matches("mark-decided").count(), 2);
    assert_eq!(figure.svg.matches("mark-open").count(), 2);
    assert!(!figure.svg.contains("<Osier>"), "texts are escaped");
    assert!(
        figure
            .alt
            .contains("Group 2, 16.75 to under 17.75 km/h: Wren <Osier> & Co."),
        "{}",
        figure.alt
    );
    assert!(
        figure.alt.ends_with("Not grouped: Quin Plover, Ada Finch."),
        "{}",
        figure.alt
    );
    let nobody = TrainingCard {
        people: vec![person("Ada Finch", None, None)],
        ..card()
    };
    assert_eq!(figure_training(&nobody), None);
    let odd = TrainingCard {
        people: vec![person("Ada Finch", Some(f64::NAN), None)],
        groups: Vec::new(),
        ..card()
    };
    assert_eq!(figure_training(&odd), None);
}

#[test]
fn the_page_says_what_each_group_runs_and_for_whom() {
    let created = jiff::civil::date(2026, 11, 25).at(20, 0, 0, 0);
    let pdf = render_training_pdf(&card(), created, &[]).expect("pages");
    assert!(pdf.conforms, "{:?}", pdf.warnings);
    // A cell may break its lines anywhere between words.
    let text = Printed::new(&pdf).all();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "Group 1",
        "76.0 m, 3 turns at 18.25 km/h",
        "moved by the coach from group 2",
        "Not grouped",
        "First trial",
        "from memory",
        "Wren <Osier> & Co",
        "Medical staff and local rules have the last word",
    ] {
        assert!(text.contains(part), "`{part}` is not in {text}");
    }
    let same = render_training_pdf(&card(), created, &[]).expect("pages");
    assert_eq!(pdf.bytes, same.bytes);
    let empty = TrainingCard {
        people: Vec::new(),
        ..card()
    };
    assert!(matches!(
        render_training_pdf(&empty, created, &[]),
        Err(ReportError::NothingToPrint { .. })
    ));
}
