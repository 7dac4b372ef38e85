//! The printable sheets of a planned day. Must carry no reason of a code: the model has no place for one.

use std::collections::BTreeMap;

use plimsoll_archive::DayFacts;
use plimsoll_judge::Settings;
use plimsoll_ladder::{Catalogue, Test, built_in_sources};
use plimsoll_report::{
    ArrivalCheck, ArrivalPerson, AssessorSheet, Briefing, Cautions, DaySheets, EmergencyPlan,
    LadderStrip, Participation, RuleCard, RuleLine, Runner, SettingLine, StripBout, WaveRunner,
    WaveSheet, WaveStaff,
};

use super::opening::easier_form;
use super::papers::{Code, EmergencyCard};
use super::plan::{Plan, PlannedWave};
use crate::day_report::ladder_tag;

/// What the sheets are made of.
pub struct Sheets<'a> {
    /// The day.
    pub day: &'a DayFacts,
    /// Its plan.
    pub plan: &'a Plan,
    /// The test.
    pub test: &'a Test,
    /// Every definition, for the easier form.
    pub catalogue: &'a Catalogue,
    /// Names called, by person.
    pub names: &'a BTreeMap<String, String>,
    /// What each may do today; full where it says nothing.
    pub codes: &'a BTreeMap<String, Code>,
    /// The emergency card; lines to write on where it is empty.
    pub emergency: &'a EmergencyCard,
}

impl Sheets<'_> {
    /// Returns the booklet of the day.
    pub fn booklet(&self) -> DaySheets {
        let title = self
            .day
            .name
            .clone()
            .unwrap_or_else(|| "Test day".to_owned());
        let venue = self.day.venue.clone().unwrap_or_default();
        let mut sheets = DaySheets::new(title, self.day.date, venue);
        sheets.ladders = vec![self.strip()];
        for wave in &self.plan.waves {
            sheets.waves.push(self.wave(wave));
            for assessor in &wave.assessors {
                sheets.assessors.push(AssessorSheet {
                    wave: wave.number.to_string(),
                    assessor: assessor.name.clone(),
                    ladder: self.test.id().to_owned(),
                    side: String::new(),
                    start: wave.start.clone().unwrap_or_default(),
                    runners: assessor
                        .lanes
                        .iter()
                        .filter_map(|lane| self.runner(wave, *lane))
                        .collect(),
                });
            }
        }
        sheets.rules = vec![self.rules()];
        sheets.briefing = Some(self.briefing());
        sheets.emergency = Some(self.emergency());
        sheets.arrival = Some(ArrivalCheck {
            people: self
                .plan
                .waves
                .iter()
                .flat_map(|wave| &wave.runners)
                .map(|runner| ArrivalPerson {
                    bib: runner.bib.clone().unwrap_or_default(),
                    name: self.name(&runner.person),
                })
                .collect(),
            spare: 3,
            group: true,
            slips: true,
        });
        sheets
    }

    fn name(&self, person: &str) -> String {
        let unknown = || "unknown".to_owned();
        self.names.get(person).cloned().unwrap_or_else(unknown)
    }

    fn participation(&self, person: &str) -> Participation {
        match self.codes.get(person).copied().unwrap_or_default() {
            Code::Full => Participation::Full,
            Code::Modified => Participation::Modified,
            Code::NotToday => Participation::NotToday,
            Code::Submaximal => {
                let form = easier_form(self.catalogue, self.test);
                let seconds = form
                    .and_then(|(form, _)| form.duration())
                    .map_or(0.0, plimsoll_ladder::Span::as_secs_f64);
                Participation::Submaximal {
                    stop_at_min: (seconds / 60.0).round() as u16,
                }
            }
        }
    }

    fn runner(&self, wave: &PlannedWave, lane: u16) -> Option<Runner> {
        let runner = wave.runners.iter().find(|runner| runner.lane == lane)?;
        Some(Runner {
            lane,
            bib: runner.bib.clone().unwrap_or_default(),
            name: self.name(&runner.person),
            participation: self.participation(&runner.person),
        })
    }

    fn strip(&self) -> LadderStrip {
        let bouts = self.test.ladder().map_or(&[][..], |ladder| ladder.bouts());
        LadderStrip {
            id: self.test.id().to_owned(),
            test_name: self.test.name().to_owned(),
            fingerprint: self.test.fingerprint(),
            miss_limit: u8::try_from(Settings::of(self.test).miss_limit).unwrap_or(u8::MAX),
            bouts: bouts
                .iter()
                .map(|bout| StripBout {
                    label: bout.label.clone(),
                    distance_m: bout.distance.as_m_f64(),
                    speed_kmh: bout.speed.as_kmh_f64(),
                    finish_s: bout.finish.as_secs_f64(),
                })
                .collect(),
        }
    }

    fn wave(&self, wave: &PlannedWave) -> WaveSheet {
        let watching = |lane: u16| {
            let found = wave.assessors.iter().find(|a| a.lanes.contains(&lane));
            found.map(|a| a.name.clone()).unwrap_or_default()
        };
        let leg = self.test.definition().course.leg.as_ref();
        WaveSheet {
            wave: wave.number.to_string(),
            lead: String::new(),
            ladder: self.test.id().to_owned(),
            start: wave.start.clone().unwrap_or_default(),
            course: leg.map_or_else(String::new, |leg| format!("{} m", leg.value.as_m_f64())),
            staff: wave
                .assessors
                .iter()
                .map(|a| WaveStaff {
                    name: a.name.clone(),
                    lanes: a
                        .lanes
                        .iter()
                        .map(u16::to_string)
                        .collect::<Vec<_>>()
                        .join(" "),
                })
                .collect(),
            runners: wave
                .runners
                .iter()
                .map(|runner| WaveRunner {
                    lane: runner.lane,
                    bib: runner.bib.clone().unwrap_or_default(),
                    name: self.name(&runner.person),
                    participation: self.participation(&runner.person),
                    assessor: watching(runner.lane),
                })
                .collect(),
        }
    }

    fn rules(&self) -> RuleCard {
        let definition = self.test.definition();
        let settings = Settings::of(self.test);
        let line = |setting: &str, value: String| SettingLine {
            setting: setting.to_owned(),
            value,
        };
        let mut keys: Vec<&str> = definition
            .rule_notes
            .iter()
            .flat_map(|note| note.sources.iter().map(String::as_str))
            .collect();
        keys.sort_unstable();
        keys.dedup();
        let sources = built_in_sources().iter();
        RuleCard {
            test_name: self.test.name().to_owned(),
            test_id: self.test.id().to_owned(),
            fingerprint: self.test.fingerprint(),
            rules: definition
                .rule_notes
                .iter()
                .map(|note| RuleLine {
                    text: note.text.clone(),
                    tag: ladder_tag(note.confidence),
                    source: note.sources.join(", "),
                })
                .collect(),
            settings: vec![
                line("misses", settings.in_words()),
                line(
                    "bout not completed",
                    if settings.last_incomplete_counts {
                        "counts"
                    } else {
                        "does not count"
                    }
                    .to_owned(),
                ),
            ],
            sources: sources
                .filter(|source| keys.contains(&source.key.as_str()))
                .map(|source| format!("{}: {}", source.key, source.cite))
                .collect(),
        }
    }

    fn briefing(&self) -> Briefing {
        let leg = self.test.definition().course.leg.as_ref();
        let leg = leg.map_or_else(String::new, |leg| {
            format!("{} metres", leg.value.as_m_f64())
        });
        let easier = easier_form(self.catalogue, self.test);
        Briefing {
            paragraphs: vec![
                format!(
                    "Today you run between two lines, {leg} apart, to signals. The signals come \
                     faster and faster. Be at the line when the signal sounds: not after it, and \
                     wait if you are early."
                ),
                "Turn with one foot on or over the line, then run back. In the rest walk round your \
                 cone and stand still behind the line before the next start."
                    .to_owned(),
                format!("{} Your assessor calls it; when unsure there is no call.", Settings::of(self.test).in_words()),
                "Go on as long as you can keep up. You decide when to stop, and stopping is never \
                 punished. Afterwards keep walking, drink, and tell your assessor how hard it was."
                    .to_owned(),
            ],
            easier: easier.map_or_else(
                || "another day, or watching".to_owned(),
                |(form, _)| form.name().to_owned(),
            ),
            cautions: Cautions::default(),
        }
    }

    fn emergency(&self) -> EmergencyPlan {
        let card = self.emergency.clone();
        EmergencyPlan {
            leads: card.leads,
            calls: card.calls,
            phone: card.phone,
            fetches_aed: card.fetches_aed,
            aed_place: card.aed_place,
            aed_walk_s: card.aed_walk_s,
            opens_gate: card.opens_gate,
            meets_ambulance: card.meets_ambulance,
            address: card.address,
            grid: card.grid,
            hospital: card.hospital,
            notes: Vec::new(),
        }
    }
}
