//! The sheets that benchmarks work on, from a fixed seed.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use plimsoll_ladder::Catalogue;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::run::program;

const GIVEN: [&str; 20] = [
    "Ana", "Bo", "Cleo", "Dara", "Emil", "Fenn", "Gus", "Hale", "Ivo", "Jo", "Kai", "Lars", "Mira",
    "Nils", "Oona", "Pia", "Quin", "Rune", "Sol", "Tove",
];
const TREES: [&str; 20] = [
    "Alder", "Birk", "Cedar", "Dogwood", "Elm", "Fir", "Gorse", "Hazel", "Ivy", "Juniper",
    "Knapweed", "Larch", "Maple", "Nettle", "Osier", "Pine", "Quince", "Rowan", "Sedge", "Teasel",
];
const BIRDS: [&str; 20] = [
    "Avocet", "Bittern", "Curlew", "Dunnock", "Egret", "Fulmar", "Grebe", "Heron", "Ibis", "Jay",
    "Kestrel", "Linnet", "Merlin", "Nuthatch", "Ousel", "Plover", "Quail", "Robin", "Siskin",
    "Teal",
];

/// Returns a name of its own for each number below 8 000.
fn name(n: usize) -> String {
    format!(
        "{} {}-{}",
        GIVEN[n % 20],
        TREES[n / 20 % 20],
        BIRDS[n / 400 % 20]
    )
}

/// Writes a roster of 4 000 people and a sheet with so many of their results.
pub fn many_results(folder: &Path, rows: usize) -> Result<(PathBuf, PathBuf), String> {
    const PEOPLE: usize = 4_000;
    let (roster, sheet) = (folder.join("roster.csv"), folder.join("sheet.csv"));
    let mut text = String::from("Name,Date of birth,Sex,Squad\n");
    for n in 0..PEOPLE {
        let (y, m, d) = (1990 + n % 15, 1 + n / 15 % 12, 1 + n / 180 % 28);
        let sex = if n % 2 == 0 { "F" } else { "M" };
        let _ = writeln!(text, "{},{y}-{m:02}-{d:02},{sex},squad {}", name(n), n / 25);
    }
    std::fs::write(&roster, text).map_err(|e| e.to_string())?;
    let catalogue = Catalogue::built_in();
    let ladder = catalogue
        .get("ir1")
        .and_then(|t| t.ladder())
        .ok_or("no ladder")?;
    let mut rng = ChaCha8Rng::seed_from_u64(200_000);
    let level: Vec<f64> = (0..PEOPLE).map(|_| rng.random_range(20.0..60.0)).collect();
    let mut text = String::from("Name,Date,Level,Distance (m),Why stopped\n");
    for row in 0..rows {
        let person = row % PEOPLE;
        let round = row / PEOPLE;
        let (y, m, d) = (2015 + round / 12, 1 + round % 12, 1 + person / 150);
        let bout = (level[person] + rng.random_range(-3.0..3.0)).round() as u32;
        let bout = ladder.by_number(bout).ok_or("no bout")?;
        let metres = bout.distance.as_mm() / 1000;
        let _ = writeln!(
            text,
            "{},{y}-{m:02}-{d:02},{},{metres},misses",
            name(person),
            bout.label
        );
    }
    std::fs::write(&sheet, text).map_err(|e| e.to_string())?;
    Ok((roster, sheet))
}

/// Makes an archive of so many athletes with six days each.
pub fn thirty_athletes(
    ours: &Path,
    folder: &Path,
    archive: &Path,
    athletes: usize,
) -> Result<(), String> {
    let catalogue = Catalogue::built_in();
    let ladder = catalogue
        .get("ir1")
        .and_then(|t| t.ladder())
        .ok_or("no ladder")?;
    let mut rng = ChaCha8Rng::seed_from_u64(30);
    let mut roster = String::from("Name,Date of birth,Sex,Squad\n");
    for n in 0..athletes {
        let _ = writeln!(
            roster,
            "{},2008-{:02}-{:02},M,U19",
            name(n),
            1 + n % 12,
            1 + n % 28
        );
    }
    let mut sheet = String::from("Name,Date,Level,Distance (m),Why stopped\n");
    for day in [
        "2025-09-06",
        "2025-12-06",
        "2026-03-14",
        "2026-05-23",
        "2026-09-05",
        "2026-11-21",
    ] {
        for n in 0..athletes {
            let bout = ladder
                .by_number(30 + rng.random_range(0..12) + n as u32 / 3)
                .ok_or("no bout")?;
            let metres = bout.distance.as_mm() / 1000;
            let _ = writeln!(sheet, "{},{day},{},{metres},misses", name(n), bout.label);
        }
    }
    let put = |file: &str, text: &str| {
        let path = folder.join(file);
        std::fs::write(&path, text)
            .map(|()| path)
            .map_err(|e| e.to_string())
    };
    let (roster, sheet) = (
        put("thirty-roster.csv", &roster)?,
        put("thirty.csv", &sheet)?,
    );
    for (words, file) in [
        (["people", "import"], roster),
        (["results", "import"], sheet),
    ] {
        let mut command = program(ours, &["--archive"]);
        command.arg(archive).args(words).arg(file);
        if words[0] == "results" {
            command.args(["--test", "ir1"]);
        }
        let out = command.output().map_err(|e| e.to_string())?;
        if out.status.code().is_none_or(|c| c > 1) {
            return Err(String::from_utf8_lossy(&out.stderr).into_owned());
        }
    }
    Ok(())
}

/// Copies a folder of plain files and folders.
pub fn copy_folder(from: &Path, to: &Path) -> Result<(), String> {
    std::fs::create_dir_all(to).map_err(|e| e.to_string())?;
    for entry in std::fs::read_dir(from).map_err(|e| e.to_string())? {
        let path = entry.map_err(|e| e.to_string())?.path();
        let into = to.join(path.file_name().ok_or("a name")?);
        if path.is_dir() {
            copy_folder(&path, &into)?;
        } else {
            std::fs::copy(&path, &into).map_err(|e| e.to_string())?;
        }
    }
    Ok(())
}
