//! Groups by reference speed: bands no narrower than the error, the middle of the band prescribed.
//! Must not group a first trial or an "at least" without a mark, and never without being asked.
//! Chance of another band: normal about the measured speed with the typical error.

use serde::Serialize;

use super::TrainingRefusal;
use super::scale::{Bands, width, within};

/// Why a speed is not to be trusted for grouping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Doubt {
    /// The person's first trial of the test.
    FirstTrial,
    /// Only known as "at least".
    AtLeast,
    /// No speed at all.
    NoSpeed,
}

impl Doubt {
    /// Returns the mark in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::FirstTrial => "first trial",
            Self::AtLeast => "at least",
            Self::NoSpeed => "no speed",
        }
    }
}

/// A person to group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Runner {
    /// Name.
    pub name: String,
    /// Reference speed, km/h; not used when the doubt is that there is none.
    pub speed_kmh: f64,
    /// Typical error of that speed, km/h; none when not known.
    pub error_kmh: Option<f64>,
    /// A doubt about the speed.
    pub doubt: Option<Doubt>,
}

/// What the coach chooses.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct GroupChoices {
    /// Width of a band, km/h.
    pub width_kmh: Option<f64>,
    /// Whether first trials and "at least" are grouped, with their mark.
    pub with_doubt: bool,
    /// Names with the group (from 1, the fastest) the coach puts them into.
    pub moves: Vec<(String, usize)>,
}

/// A person in a group.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Member {
    /// Position in the list handed in.
    pub index: usize,
    /// Chance that the true speed belongs to another band, 0 to 1; none without an error.
    pub chance_other: Option<f64>,
    /// The group by speed, when the coach moved the person.
    pub moved_from: Option<usize>,
}

/// A band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// Number, 1 for the fastest.
    pub number: usize,
    /// Lower end, km/h, included.
    pub low_kmh: f64,
    /// Upper end, km/h, not included.
    pub high_kmh: f64,
    /// Middle, km/h: what is prescribed.
    pub middle_kmh: f64,
    /// Members, the fastest first.
    pub members: Vec<Member>,
}

/// A person who is not grouped, and why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Apart {
    /// Position in the list handed in.
    pub index: usize,
    /// Why.
    pub doubt: Doubt,
}

/// Where one person ended up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Banded {
    /// In the group of this number.
    In(usize),
    /// Apart, for this reason.
    Apart(Doubt),
}

/// The squad in groups.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Grouping {
    /// Width of the bands, km/h.
    pub width_kmh: f64,
    /// Why that width, in words.
    pub width_basis: String,
    /// The groups, the fastest first; one without members is left out.
    pub groups: Vec<Group>,
    /// Who is not grouped.
    pub apart: Vec<Apart>,
}

impl Grouping {
    /// Returns where a person of the list ended up.
    pub fn place(&self, index: usize) -> Option<Banded> {
        let holds = |group: &&Group| group.members.iter().any(|m| m.index == index);
        if let Some(group) = self.groups.iter().find(holds) {
            return Some(Banded::In(group.number));
        }
        let apart = self.apart.iter().find(|a| a.index == index)?;
        Some(Banded::Apart(apart.doubt))
    }
}

/// Puts people into bands of reference speed.
///
/// # Errors
///
/// [`TrainingRefusal`] for bands narrower than one typical error, nobody to group, values out of
/// range, or a move that names nobody or no group.
pub fn groups(people: &[Runner], choices: &GroupChoices) -> Result<Grouping, TrainingRefusal> {
    let moved = moves(people, choices)?;
    let (mut grouped, mut apart) = (Vec::new(), Vec::new());
    for (index, person) in people.iter().enumerate() {
        match person.doubt {
            Some(Doubt::NoSpeed) => apart.push((index, Doubt::NoSpeed)),
            Some(doubt) if !choices.with_doubt && moved[index].is_none() => {
                apart.push((index, doubt));
            }
            _ => grouped.push(index),
        }
    }
    let apart: Vec<Apart> = apart
        .into_iter()
        .map(|(index, doubt)| Apart { index, doubt })
        .collect();
    for &index in &grouped {
        let (speed, error) = (people[index].speed_kmh, people[index].error_kmh);
        within(
            "reference speed (km/h)",
            speed,
            (1.0..=45.0).contains(&speed),
            "1 to 45 km/h",
        )?;
        let error = error.unwrap_or(1.0);
        within(
            "typical error (km/h)",
            error,
            error > 0.0 && error <= 20.0,
            "above 0 to 20 km/h",
        )?;
    }
    let (width_kmh, width_basis) = width(people, &grouped, choices.width_kmh)?;
    let by_speed: Vec<f64> = grouped.iter().map(|&i| people[i].speed_kmh).collect();
    let bands = Bands::new(&by_speed, width_kmh, &apart)?;
    let mut groups = bands.empty();
    for &index in &grouped {
        let person = &people[index];
        let own = bands.group_of(person.speed_kmh);
        let (number, moved_from) = match moved[index] {
            Some(to) if to > bands.count => {
                return Err(TrainingRefusal::MoveWhere {
                    name: person.name.clone(),
                    group: to,
                    known: format!("1 to {}", bands.count),
                });
            }
            Some(to) if to != own => (to, Some(own)),
            _ => (own, None),
        };
        groups[number - 1].members.push(Member {
            index,
            chance_other: bands.chance_other(number, person)?,
            moved_from,
        });
    }
    for group in &mut groups {
        group.members.sort_by(|a, b| {
            people[b.index]
                .speed_kmh
                .total_cmp(&people[a.index].speed_kmh)
        });
    }
    groups.retain(|group| !group.members.is_empty());
    Ok(Grouping {
        width_kmh,
        width_basis,
        groups,
        apart,
    })
}

/// Returns for each person the group the coach names.
fn moves(people: &[Runner], choices: &GroupChoices) -> Result<Vec<Option<usize>>, TrainingRefusal> {
    let mut out = vec![None; people.len()];
    for (name, group) in &choices.moves {
        let same = |p: &Runner| p.name.trim().to_lowercase() == name.trim().to_lowercase();
        let hits: Vec<usize> = (0..people.len()).filter(|&i| same(&people[i])).collect();
        let what = match hits[..] {
            [] => "is not in the list",
            [index] if people[index].doubt == Some(Doubt::NoSpeed) => "has no speed",
            [index] if out[index].is_some() => "is moved twice",
            [index] => {
                if *group == 0 {
                    return Err(TrainingRefusal::MoveWhere {
                        name: name.clone(),
                        group: 0,
                        known: "numbered from 1, the fastest".to_owned(),
                    });
                }
                out[index] = Some(*group);
                continue;
            }
            _ => "is there more than once",
        };
        let known: Vec<&str> = people.iter().take(40).map(|p| p.name.as_str()).collect();
        return Err(TrainingRefusal::MoveWho {
            name: name.clone(),
            what,
            known: known.join(", "),
        });
    }
    Ok(out)
}
