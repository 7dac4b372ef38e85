//! The invented club: its 26 players and its roster as the secretary keeps it.
//! Every name, place and number is made up; nobody here stands for a real person.
//! Squads go by age on 1 January of the year in which the season begins.

use jiff::civil::{Date, date};

/// A player of the club.
#[derive(Debug)]
pub struct Player {
    pub name: &'static str,
    pub born: Date,
    pub sex: &'static str,
    pub squad: &'static str,
    pub joined: Date,
    /// First test day, as an index into the club's days.
    pub first_day: usize,
    /// How far the first test goes on average, metres.
    pub metres: f64,
    /// Other names, parted by `;`.
    pub aliases: &'static str,
}

/// Day, month, year: as the roster writes it.
type Dmy = (i8, i8, i16);

const fn dmy((day, month, year): Dmy) -> Date {
    date(year, month, day)
}

const fn player(
    name: &'static str,
    born: Dmy,
    who: (&'static str, &'static str),
    joined: Dmy,
    first_day: usize,
    metres: f64,
) -> Player {
    Player {
        name,
        born: dmy(born),
        sex: who.0,
        squad: who.1,
        joined: dmy(joined),
        first_day,
        metres,
        aliases: "",
    }
}

impl Player {
    const fn also(mut self, aliases: &'static str) -> Self {
        self.aliases = aliases;
        self
    }

    /// Returns the name as an 8-bit sheet can hold it: the player's own, or the first alias.
    pub fn name_in_windows_1252(&self) -> &'static str {
        let lost = encoding_rs::WINDOWS_1252.encode(self.name).2;
        match self.aliases.split(';').next() {
            Some(alias) if lost => alias.trim(),
            _ => self.name,
        }
    }
}

/// The club's 26 players. Distances lie where published youth and club players do (Deprez 2014,
/// Markovic and Mikulic 2011, Krustrup 2005 in `references/`), on the modest side.
#[rustfmt::skip]
pub const PLAYERS: [Player; 26] = [
    player("Ana Rowan",        (14,  2, 2009), ("F", "U17"), ( 1,  8, 2024), 0,  900.0),
    player("Bo Hawthorn",      (30,  6, 2008), ("M", "U19"), (15,  7, 2023), 0, 1640.0),
    player("Dara Teasel",      (19,  5, 2009), ("M", "U17"), ( 1,  8, 2024), 0, 1260.0),
    player("Edda Curlew",      (21,  1, 2008), ("F", "U19"), (15,  7, 2023), 0, 1040.0),
    player("Gus Firth",        (22, 12, 2007), ("M", "U19"), (15,  7, 2023), 0, 1780.0),
    player("Ilko Jasika",      (17,  8, 2009), ("M", "U17"), ( 1,  8, 2024), 0, 1300.0),
    player("Ivo Larch",        (24,  3, 2008), ("M", "U19"), (15,  7, 2023), 0, 1620.0),
    player("Jo Alder",         (28, 11, 2008), ("F", "U19"), ( 1,  8, 2024), 0,  960.0),
    player("Kai Linnet",       (13,  7, 2008), ("M", "U19"), (15,  7, 2023), 0, 1540.0),
    player("Lars Bjørk-Åsen",  (16,  4, 2009), ("M", "U17"), ( 1,  8, 2024), 0, 1200.0).also("Lars Asen"),
    player("Mira Teal",        (27, 10, 2008), ("F", "U19"), ( 1,  8, 2024), 0, 1100.0),
    player("Nils Moss",        (20,  2, 2008), ("M", "U19"), (15,  7, 2023), 0, 1460.0),
    player("Noor Safsaf",      (29,  1, 2009), ("M", "U17"), ( 1,  8, 2024), 0, 1360.0),
    player("Oona Siskin",      (15,  3, 2009), ("F", "U17"), ( 1,  8, 2024), 0,  840.0),
    player("Ömür Kavak",       (31,  8, 2008), ("M", "U19"), (15,  7, 2023), 0, 1420.0),
    player("Quin Plover",      (18,  1, 2009), ("M", "U17"), ( 1,  8, 2024), 0, 1340.0),
    player("Rune Dunnock",     (22,  6, 2009), ("M", "U17"), ( 1,  8, 2024), 0, 1280.0),
    player("Sol Heron",        (25,  9, 2008), ("F", "U19"), (15,  7, 2023), 0, 1160.0),
    player("Téo Frêne-Vert",   (26,  5, 2008), ("M", "U19"), (15,  7, 2023), 0, 1500.0).also("Teo Frene; Teo Vert"),
    player("Tove Birk",        (14, 11, 2007), ("M", "U19"), (15,  7, 2023), 0, 1860.0),
    player("Uzma Bulbul",      (29,  7, 2008), ("F", "U19"), (15,  7, 2023), 0, 1000.0),
    player("Wren Osier",       (23,  4, 2008), ("M", "U19"), (15,  7, 2023), 0, 1580.0),
    player("Ελάτη Κορυδαλλού", (17,  5, 2008), ("F", "U19"), (15,  7, 2023), 0,  940.0).also("Elati Korydallou"),
    player("川瀬 つばき",       (26,  8, 2008), ("M", "U19"), (15,  7, 2023), 0, 1560.0).also("Kawase Tsubaki"),
    player("Zeno Quillwort",   (19,  3, 2010), ("M", "U17"), (27,  4, 2026), 7, 1380.0),
    player("Yara Knapweed",    (21,  5, 2010), ("F", "U17"), ( 2, 11, 2026), 9,  980.0),
];

/// Wart: day and month of this player's birth stand the other way round.
pub const SWAPPED: &str = "Noor Safsaf";
/// Wart: this player stands on the roster a second time, under a longer name.
pub const TWICE: (&str, &str) = ("Jo Alder", "Johanna Alder-Moss");

/// Returns the roster: dates as day/month/year, one the other way round, one person twice.
pub fn roster() -> Result<String, csv::Error> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record([
        "Name",
        "Date of birth",
        "Sex",
        "Squad",
        "Joined",
        "Player id",
        "Other names",
    ])?;
    let written = |d: Date| d.strftime("%d/%m/%Y").to_string();
    let id = |number: usize| format!("HL{number:03}");
    for (number, p) in (1..).zip(&PLAYERS) {
        let born = if p.name == SWAPPED {
            p.born.strftime("%m/%d/%Y").to_string()
        } else {
            written(p.born)
        };
        let joined = written(p.joined);
        let (id, born, joined) = (id(number), born.as_str(), joined.as_str());
        out.write_record([p.name, born, p.sex, p.squad, joined, &id, p.aliases])?;
    }
    if let Some(p) = PLAYERS.iter().find(|p| p.name == TWICE.0) {
        // A new season's list had her under the longer name, with a new id.
        let (born, joined, id) = (written(p.born), written(date(2026, 7, 15)), id(31));
        out.write_record([TWICE.1, &born, p.sex, p.squad, &joined, &id, ""])?;
    }
    let bytes = out.into_inner().map_err(|e| e.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
