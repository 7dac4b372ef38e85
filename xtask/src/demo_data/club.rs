//! The invented club: people, test days, and the one model that makes its results.
//! Every name, place and number is made up; the sizes follow the literature the program cites.

/// A player: name, date of birth (day, month, year), sex, squad, first test day by number, and how
/// far the first test would go on average, m.
pub struct Player {
    pub name: &'static str,
    pub born: (u8, u8, u16),
    pub sex: &'static str,
    pub squad: &'static str,
    pub first_day: usize,
    pub metres: f64,
}

const fn player(
    name: &'static str,
    born: (u8, u8, u16),
    sex: &'static str,
    squad: &'static str,
    first_day: usize,
    metres: f64,
) -> Player {
    Player {
        name,
        born,
        sex,
        squad,
        first_day,
        metres,
    }
}

/// The club's 26 players.
#[rustfmt::skip]
pub const PLAYERS: [Player; 26] = [
    player("Ana Rowan",         (14,  2, 2009), "F", "U19", 0,  980.0),
    player("Bo Alder",          (30,  6, 2008), "M", "U19", 0, 1720.0),
    player("Dara Teasel",       ( 9, 10, 2009), "M", "U17", 0, 1280.0),
    player("Edda Curlew",       (21,  1, 2008), "F", "U19", 0, 1120.0),
    player("Emil Sallow",       (17,  8, 2009), "M", "U17", 0, 1340.0),
    player("Fenn Tormentil",    (26,  5, 2008), "M", "U19", 0, 1560.0),
    player("Gus Firth",         ( 2, 12, 2007), "M", "U19", 0, 1840.0),
    player("Hale Wigeon",       (19,  9, 2009), "M", "U17", 0, 1420.0),
    player("Ivo Larch",         (24,  3, 2008), "M", "U19", 0, 1680.0),
    player("Jo Alder-Moss",     (28, 11, 2008), "F", "U19", 0, 1040.0),
    player("Kai Linnet",        (13,  7, 2008), "M", "U19", 0, 1600.0),
    player("Lars Bjørk-Åsen",   (16,  4, 2009), "M", "U17", 0, 1240.0),
    player("Mira Teal",         (27, 10, 2008), "F", "U19", 0, 1160.0),
    player("Nils Moss",         (20,  2, 2008), "M", "U19", 0, 1520.0),
    player("Oona Siskin",       (15, 12, 2009), "F", "U17", 0,  900.0),
    player("Pia Sedge",         (31,  8, 2008), "F", "U19", 0, 1080.0),
    player("Quin Plover",       (18,  1, 2009), "M", "U17", 0, 1380.0),
    player("Rune Dunnock",      (22,  6, 2009), "M", "U17", 0, 1300.0),
    player("Sol Heron",         (25,  9, 2008), "F", "U19", 0, 1200.0),
    player("Tove Birk",         (14, 11, 2007), "M", "U19", 0, 1900.0),
    player("Uma Vetch",         (29,  3, 2009), "F", "U17", 0,  940.0),
    player("Wren Osier",        (23,  4, 2008), "M", "U19", 0, 1640.0),
    player("Ελάτη Κορυδαλλού",  (17,  5, 2009), "F", "U17", 3, 1000.0),
    player("川瀬 つばき",        (26,  8, 2008), "M", "U19", 4, 1580.0),
    player("Zeno Quillwort",    (19, 12, 2009), "M", "U17", 8, 1360.0),
    player("Yara Knapweed",     (21, 10, 2009), "F", "U17", 9, 1020.0),
];

/// What went wrong on a day, or nothing.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Wart {
    None,
    /// The other track was played; the sheet was filed as level 1.
    OtherLadder,
    /// One label has a bout the ladder does not have, as `14.10`.
    FourteenTen,
    /// The course was 20 cm short.
    ShortCourse,
    /// One runner stopped injured.
    Injury,
    /// Zero stands for somebody who was absent.
    ZeroForAbsent,
    /// Today's: an injury stop, a label that disagrees, a spelling that is not on the roster.
    Today,
}

/// A test day: date, venue, surface, conditions, effect on everyone's distance, wart.
pub struct Day {
    pub on: &'static str,
    pub venue: &'static str,
    pub surface: &'static str,
    pub indoor: bool,
    pub start: &'static str,
    pub temperature_c: f64,
    pub humidity: f64,
    pub wind: f64,
    pub wbgt: Option<f64>,
    pub course_m: f64,
    pub effect: f64,
    pub wart: Wart,
    pub note: &'static str,
}

/// The day in an ordinary hall.
const HALL: Day = Day {
    on: "",
    venue: "Harbour Lane hall",
    surface: "wood",
    indoor: true,
    start: "17:30",
    temperature_c: 18.0,
    humidity: 50.0,
    wind: 0.0,
    wbgt: None,
    course_m: 20.01,
    effect: 1.0,
    wart: Wart::None,
    note: "",
};

/// The club's days, oldest first; the last one is today.
#[rustfmt::skip]
pub const DAYS: [Day; 10] = [
    Day { on: "2024-09-07", ..HALL },
    Day { on: "2024-12-07", temperature_c: 16.5, course_m: 20.00, ..HALL },
    Day { on: "2025-03-15", wart: Wart::OtherLadder, note: "new loudspeaker, track from the old laptop", ..HALL },
    Day { on: "2025-05-24", venue: "Harbour Lane pitch 2", surface: "artificial turf", indoor: false,
          temperature_c: 29.0, humidity: 48.0, wind: 2.5, wbgt: Some(25.4), effect: 0.90,
          note: "hot; water between waves", ..HALL },
    Day { on: "2025-09-06", wart: Wart::FourteenTen, course_m: 20.02, ..HALL },
    Day { on: "2025-12-06", wart: Wart::ShortCourse, course_m: 19.80, effect: 1.075, ..HALL },
    Day { on: "2026-03-14", wart: Wart::Injury, temperature_c: 17.0, ..HALL },
    Day { on: "2026-05-23", wart: Wart::None, temperature_c: 20.5, course_m: 19.99, ..HALL },
    Day { on: "2026-09-05", wart: Wart::ZeroForAbsent, temperature_c: 21.0, ..HALL },
    Day { on: "2026-11-21", wart: Wart::Today, temperature_c: 17.5, humidity: 46.0, course_m: 20.02, ..HALL },
];
