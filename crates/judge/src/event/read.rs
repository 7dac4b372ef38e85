//! Reading an event from text that nobody vouches for. Bounded, strict, no panics.

use super::{Event, EventFault, LanePlan, ReadingKind, VERSION, What};

/// Bytes of the largest event: an opening with 60 lanes takes about 8 000.
const MAX_BYTES: usize = 65_536;
/// Lanes in a wave. Common practice, no source: nobody lines up more.
const MAX_LANE: u16 = 200;
/// Bouts on a ladder; the longest shipped has fewer than 300.
const MAX_BOUT: u32 = 2_000;
/// Characters of a name, a reason or a note.
const MAX_TEXT: usize = 500;
/// Cue time: from ten minutes before the start to a day after, ms.
const CUE_RANGE: std::ops::RangeInclusive<i64> = -600_000..=86_400_000;

impl Event {
    /// Reads one event from JSON.
    ///
    /// # Errors
    ///
    /// [`EventFault`] says what was found and what is allowed.
    pub fn read(text: &str) -> Result<Self, EventFault> {
        if text.len() > MAX_BYTES {
            return Err(EventFault::TooLarge {
                found: text.len(),
                allowed: MAX_BYTES,
            });
        }
        let event: Self = match serde_json::from_str(text) {
            Ok(event) => event,
            Err(error) => return Err(newer(text).unwrap_or_else(|| unreadable(&error))),
        };
        event.check()?;
        Ok(event)
    }

    /// Returns the event as one line of JSON.
    pub fn to_line(&self) -> String {
        serde_json::to_string(self).expect("an event has nothing that JSON lacks")
    }

    /// Checks every value against its range.
    ///
    /// # Errors
    ///
    /// [`EventFault::Newer`] and [`EventFault::Value`].
    pub fn check(&self) -> Result<(), EventFault> {
        if self.v == 0 || self.v > VERSION {
            return Err(EventFault::Newer {
                found: self.v.into(),
                known: VERSION,
            });
        }
        let device = &self.device.0;
        let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
        need(
            (1..=40).contains(&device.len()) && device.chars().all(plain),
            "device",
            device,
            "1 to 40 letters, digits, `-` or `_`",
        )?;
        need(
            self.seq >= 1 && self.seq <= i64::MAX as u64,
            "seq",
            self.seq,
            "1 or more",
        )?;
        need(
            (1..=1_000_000_000).contains(&self.order),
            "order",
            self.order,
            "1 to 1000000000",
        )?;
        need(
            (0..=4_102_444_800_000).contains(&self.at_ms),
            "at_ms",
            self.at_ms,
            "milliseconds since 1970, up to the year 2100",
        )?;
        if let Some(cue) = self.cue_ms {
            need(
                CUE_RANGE.contains(&cue),
                "cue_ms",
                cue,
                "-600000 to 86400000 milliseconds",
            )?;
        }
        if let Some(by) = &self.by {
            words("by", by)?;
        }
        if let Some(lane) = self.what.lane() {
            lane_is("lane", lane)?;
        }
        self.what.check()
    }
}

impl What {
    fn check(&self) -> Result<(), EventFault> {
        match self {
            Self::Opened { plan } => {
                words("test", &plan.test)?;
                words("fingerprint", &plan.fingerprint)?;
                need(
                    plan.lanes.len() <= usize::from(MAX_LANE),
                    "lanes",
                    plan.lanes.len(),
                    "at most 200 lanes",
                )?;
                plan.lanes.iter().try_for_each(runner)?;
                let mut seen: Vec<u16> = plan.lanes.iter().map(|l| l.lane).collect();
                seen.sort_unstable();
                let twice = seen.windows(2).find(|pair| pair[0] == pair[1]);
                need(
                    twice.is_none(),
                    "lanes",
                    twice.map_or(0, |pair| pair[0]),
                    "each lane once",
                )?;
                need(
                    plan.assessors.len() <= 50,
                    "assessors",
                    plan.assessors.len(),
                    "at most 50",
                )?;
                for assessor in &plan.assessors {
                    words("assessor name", &assessor.name)?;
                    for lane in &assessor.lanes {
                        lane_is("assessor lanes", *lane)?;
                    }
                }
                Ok(())
            }
            Self::Joined { runner: plan } => runner(plan),
            Self::Started { lanes } => lanes.iter().try_for_each(|lane| lane_is("lanes", *lane)),
            Self::Miss { bout, cue, .. } => {
                bout.map_or(Ok(()), |bout| bout_is("bout", bout))?;
                cue.map_or(Ok(()), |cue| bout_is("cue", cue))
            }
            Self::Reached { bout, cue, .. } => {
                bout_is("bout", *bout)?;
                bout_is("cue", *cue)
            }
            Self::CourseError {
                from_bout, to_bout, ..
            } => {
                bout_is("from_bout", *from_bout)?;
                bout_is("to_bout", *to_bout)?;
                need(
                    from_bout <= to_bout,
                    "to_bout",
                    to_bout,
                    "from_bout or later",
                )
            }
            Self::Correction {
                completed, reason, ..
            } => {
                need(
                    completed.is_some() || reason.is_some(),
                    "completed",
                    "nothing to correct",
                    "completed bouts, a reason, or both",
                )?;
                completed.map_or(Ok(()), |n| {
                    need(n <= MAX_BOUT, "completed", n, "0 to 2000 bouts")
                })
            }
            Self::Resumed {
                how: super::ResumeChoice::AtBout { bout },
                ..
            } => bout_is("bout", *bout),
            Self::Excused { why, .. } | Self::Interrupted { why } | Self::Reopened { why } => {
                words("why", why)
            }
            Self::Note { text, .. } | Self::Incident { text, .. } => words("text", text),
            Self::Ruled { ruling } => words("about", &ruling.about),
            Self::Read {
                what,
                value,
                after_s,
                ..
            } => {
                let (range, allowed) = match what {
                    ReadingKind::HeartRate => (30..=250, "30 to 250 beats a minute"),
                    ReadingKind::Exertion => (0..=100, "0 to 100 tenths of a point"),
                };
                need(range.contains(value), "value", value, allowed)?;
                need(*after_s <= 86_400, "after_s", after_s, "0 to 86400 seconds")
            }
            Self::Anchored { zero_ms, .. } => need(
                (0..=4_102_444_800_000).contains(zero_ms),
                "zero_ms",
                zero_ms,
                "milliseconds since 1970, up to the year 2100",
            ),
            _ => Ok(()),
        }
    }
}

fn runner(plan: &LanePlan) -> Result<(), EventFault> {
    lane_is("lane", plan.lane)?;
    words("person", &plan.person)?;
    words("name", &plan.name)?;
    bout_is("from_bout", plan.from_bout)?;
    plan.ends_at.map_or(Ok(()), |n| bout_is("ends_at", n))?;
    plan.ladder
        .as_ref()
        .map_or(Ok(()), |id| words("ladder", id))?;
    plan.bib.as_ref().map_or(Ok(()), |bib| words("bib", bib))
}

fn lane_is(field: &'static str, lane: u16) -> Result<(), EventFault> {
    need((1..=MAX_LANE).contains(&lane), field, lane, "1 to 200")
}

fn bout_is(field: &'static str, bout: u32) -> Result<(), EventFault> {
    need((1..=MAX_BOUT).contains(&bout), field, bout, "1 to 2000")
}

fn words(field: &'static str, text: &str) -> Result<(), EventFault> {
    let length = text.chars().count();
    need(
        (1..=MAX_TEXT).contains(&length),
        field,
        format!("{length} characters"),
        "1 to 500 characters",
    )?;
    need(
        !text.chars().any(|c| c.is_control() && c != '\n'),
        field,
        "a control character",
        "text without control characters",
    )
}

fn need(
    holds: bool,
    field: &'static str,
    found: impl ToString,
    allowed: &'static str,
) -> Result<(), EventFault> {
    if holds {
        return Ok(());
    }
    Err(EventFault::Value {
        field,
        found: found.to_string(),
        allowed,
    })
}

fn unreadable(error: &serde_json::Error) -> EventFault {
    EventFault::Unreadable {
        why: error.to_string(),
    }
}

/// A newer version may have fields this build does not know: then the version is what to report.
fn newer(text: &str) -> Option<EventFault> {
    let value: serde_json::Value = serde_json::from_str(text).ok()?;
    let found = value.get("v")?.as_u64()?;
    (found > VERSION.into()).then_some(EventFault::Newer {
        found,
        known: VERSION,
    })
}
