//! A wave written down as a script.

use std::sync::OnceLock;

use plimsoll_judge::{
    DeviceId, Event, Fold, LanePlan, LaneState, Opening, PlannedAssessor, Role, Settings,
    StopReason, VERSION, WaveState, What,
};
use plimsoll_ladder::{Catalogue, Test};
use uuid::Uuid;

/// A script: events in the order in which they happen.
pub struct Script {
    pub test: &'static Test,
    pub settings: Settings,
    pub events: Vec<Event>,
    lanes: u16,
    seqs: std::collections::BTreeMap<String, u64>,
}

impl Script {
    /// Returns a wave of a built-in test, not opened yet.
    pub fn of(id: &str, lanes: u16) -> Self {
        static SHIPPED: OnceLock<Catalogue> = OnceLock::new();
        let catalogue = SHIPPED.get_or_init(Catalogue::built_in);
        let test = catalogue.get(id).expect("shipped");
        Self {
            settings: Settings::of(test),
            test,
            events: Vec::new(),
            lanes,
            seqs: std::collections::BTreeMap::new(),
        }
    }

    /// Opens the wave and gives the start signal to every lane.
    pub fn started(mut self) -> Self {
        let lanes: Vec<u16> = (1..=self.lanes).collect();
        let plan = Opening {
            test: self.test.id().to_owned(),
            fingerprint: self.test.fingerprint(),
            settings: self.settings.clone(),
            lanes: lanes.iter().map(|lane| runner(*lane)).collect(),
            assessors: vec![PlannedAssessor {
                name: "A".to_owned(),
                lanes: lanes.clone(),
            }],
        };
        self.lead(
            None,
            What::Opened {
                plan: Box::new(plan),
            },
        );
        self.lead(Some(0), What::Started { lanes });
        self
    }

    /// Adds an event; returns its id.
    pub fn add(&mut self, device: &str, role: Role, cue_ms: Option<i64>, what: What) -> Uuid {
        let n = self.events.len() as u64 + 1;
        let seq = self.seqs.entry(device.to_owned()).or_insert(0);
        *seq += 1;
        let id = Uuid::from_u128(0x0193_0000_0000_7000_8000_0000_0000_0000 + u128::from(n));
        self.events.push(Event {
            v: VERSION,
            id,
            device: DeviceId(device.to_owned()),
            seq: *seq,
            order: n,
            at_ms: 1_795_000_000_000 + cue_ms.unwrap_or(0),
            cue_ms,
            cue_pm_ms: cue_ms.map(|_| 20),
            role,
            by: None,
            what,
        });
        id
    }

    pub fn lead(&mut self, cue_ms: Option<i64>, what: What) -> Uuid {
        self.add("lead", Role::Lead, cue_ms, what)
    }

    pub fn a(&mut self, cue_ms: Option<i64>, what: What) -> Uuid {
        self.add("phone-a", Role::Assessor, cue_ms, what)
    }

    pub fn b(&mut self, cue_ms: Option<i64>, what: What) -> Uuid {
        self.add("phone-b", Role::Assessor, cue_ms, what)
    }

    /// Returns the cue time of the finish of a bout, ms, rounded up.
    pub fn finish(&self, bout: u32) -> i64 {
        let ladder = self.test.ladder().expect("paced");
        let at = ladder.by_number(bout).expect("on the ladder").finish;
        at.as_nanos() / 1_000_000 + 1
    }

    /// Records a miss at the finish of a bout by phone A.
    pub fn miss(&mut self, lane: u16, bout: u32) -> Uuid {
        let at = self.finish(bout) + 200;
        self.a(Some(at), miss(lane))
    }

    /// Records a stop by phone A this long after the finish of a bout.
    pub fn stop(&mut self, lane: u16, bout: u32, after_ms: i64, reason: StopReason) -> Uuid {
        let at = self.finish(bout) + after_ms;
        self.a(Some(at), What::Stop { lane, reason })
    }

    pub fn state(&self) -> WaveState {
        Fold::new(self.test).expect("paced").state(&self.events)
    }

    pub fn lane(&self, lane: u16) -> LaneState {
        let found = self.state().lanes.into_iter().find(|l| l.plan.lane == lane);
        found.expect("a lane of the plan")
    }

    /// Returns the bouts completed by a lane.
    pub fn bouts(&self, lane: u16) -> Option<u32> {
        let stop = self.lane(lane).stop?;
        stop.completed.map(|done| done.bouts)
    }
}

pub fn runner(lane: u16) -> LanePlan {
    LanePlan {
        lane,
        person: format!("person-{lane}"),
        name: format!("Runner {lane}"),
        bib: Some(lane.to_string()),
        ends_at: None,
        ladder: None,
        from_bout: 1,
    }
}

pub fn miss(lane: u16) -> What {
    What::Miss {
        lane,
        bout: None,
        cue: None,
        place: plimsoll_judge::MissPlace::Zone,
    }
}
