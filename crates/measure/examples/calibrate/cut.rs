//! Pass or fail at a cut: the chance that the true level passes, and how often a cut decides wrongly.

use plimsoll_measure::squad::{Group, chance_above_in_group, cut_risk};

use crate::Fault;
use crate::numbers::{Numbers, over};
use crate::section::Section;
use crate::tally::Tally;

const UNITS: usize = 200;
const PEOPLE: usize = 100;
const GROUP: Group = Group {
    mean: 1500.0,
    sd: 200.0,
    reliability: 0.85,
};
const CUT: f64 = 1600.0;
const SHARES: [&str; 4] = ["passes", "truly above", "false passes", "false fails"];

fn unit(unit: usize) -> Result<Tally, Fault> {
    let mut numbers = Numbers::of(9, unit);
    let mut tally = Tally::default();
    let spread = GROUP.sd * GROUP.reliability.sqrt();
    let error = GROUP.sd * (1.0 - GROUP.reliability).sqrt();
    for _ in 0..PEOPLE {
        let level = GROUP.mean + spread * numbers.normal();
        let score = level + error * numbers.normal();
        let (passes, above) = (score >= CUT, level >= CUT);
        let said = chance_above_in_group(score, &GROUP, CUT)?;
        tally.chance("P(true level is above the cut)", said, above);
        let came = [passes, above, passes && !above, !passes && above];
        for (name, came) in SHARES.into_iter().zip(came) {
            tally.yes(name, came);
        }
    }
    Ok(tally)
}

pub fn job() -> Result<Section, Fault> {
    let tally = over(UNITS, unit)?;
    let mut section = Section::new(
        "Pass or fail at a cut",
        "20 000 people of a group with mean 1500 m, SD 200 m and reliability 0.85; cut at 1600 m.",
    );
    section.bins(&tally, false);
    let risk = cut_risk(CUT, &GROUP, 1)?;
    let said = [
        risk.pass,
        risk.truly_above,
        risk.false_pass,
        risk.false_fail,
    ];
    let mut rows = Vec::new();
    let n = (UNITS * PEOPLE) as f64;
    for (name, said) in SHARES.into_iter().zip(said) {
        let seen = tally.share(name) / 100.0;
        let se = (said * (1.0 - said) / n).sqrt();
        rows.push(vec![
            name.to_owned(),
            format!("{:.2} %", 100.0 * said),
            format!("{:.2} %", 100.0 * seen),
        ]);
        let what = format!("{name}, seen less said in standard errors");
        section.bound(what, (seen - said) / se, -3.0, 3.0, "");
    }
    section.table(&["share of all", "said", "seen"], rows);
    Ok(section)
}
