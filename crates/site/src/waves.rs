//! The waves in memory: events, state and who waits for news. Rebuilt from the archive when asked for.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex};

use plimsoll_archive::{NewEvent, Stored, Wave, WaveId};
use plimsoll_desk::planning::Predictions;
use plimsoll_judge::{Event, Fold, WaveState, What};
use plimsoll_ladder::Test;
use tokio::sync::watch;
use uuid::Uuid;

use crate::app::App;
use crate::fault::Fault;
use crate::live::Parts;

/// A wave being run or looked at.
pub struct Live {
    /// The archive's entry.
    pub wave: Wave,
    /// Id of its test.
    pub test: String,
    inner: Mutex<Inner>,
    /// How many times faster than on the pitch its cue clock runs; 0 until a rehearsal says so.
    speed: AtomicU32,
    version: watch::Sender<u64>,
    /// What is expected of the people, once somebody has asked.
    predicted: tokio::sync::OnceCell<Arc<Predictions>>,
}

struct Inner {
    fold: Fold,
    events: Vec<Event>,
    made: Option<(u64, Arc<WaveState>)>,
    parts: Option<Arc<Parts>>,
}

/// What became of a batch.
#[derive(Debug, Default)]
pub struct Recorded {
    /// On disk.
    pub acknowledged: Vec<Uuid>,
    /// Not recorded, and why.
    pub refused: Vec<(Uuid, String)>,
}

/// Every wave in memory.
#[derive(Default)]
pub struct Waves {
    open: tokio::sync::Mutex<BTreeMap<WaveId, Arc<Live>>>,
}

impl Waves {
    /// Returns a wave, from the archive when it is not in memory yet.
    ///
    /// # Errors
    ///
    /// [`Fault::missing`] when there is none.
    pub async fn get(&self, app: &App, id: WaveId) -> Result<Arc<Live>, Fault> {
        let mut open = self.open.lock().await;
        if let Some(live) = open.get(&id) {
            return Ok(live.clone());
        }
        let (wave, stored) = app
            .keeper()
            .with(move |writer| {
                let wave = writer
                    .wave(id)?
                    .ok_or_else(|| Fault::missing("wave", &id.to_string()))?;
                Ok((wave, writer.wave_events(id, 0)?))
            })
            .await?;
        let events: Vec<Event> = stored
            .iter()
            .filter_map(|stored| Event::read(&stored.body).ok())
            .collect();
        let live = Arc::new(Live::new(app, wave, events)?);
        open.insert(id, live.clone());
        Ok(live)
    }
}

impl Inner {
    fn state(&mut self) -> (u64, Arc<WaveState>) {
        let version = self.events.len() as u64;
        if let Some((at, state)) = &self.made
            && *at == version
        {
            return (version, state.clone());
        }
        let state = Arc::new(self.fold.state(&self.events));
        self.made = Some((version, state.clone()));
        (version, state)
    }
}

impl Live {
    fn new(app: &App, wave: Wave, events: Vec<Event>) -> Result<Self, Fault> {
        let test = events.iter().find_map(|event| match &event.what {
            What::Opened { plan } => Some(plan.test.clone()),
            _ => None,
        });
        let test = test.ok_or_else(|| Fault::missing("opening of the wave", &wave.name))?;
        let fold = known_test(app, &test).and_then(|test| {
            Fold::new(test).ok_or_else(|| Fault::missing("cues of the test", test.id()))
        })?;
        let version = events.len() as u64;
        Ok(Self {
            wave,
            test,
            inner: Mutex::new(Inner {
                fold,
                events,
                made: None,
                parts: None,
            }),
            speed: AtomicU32::new(0),
            version: watch::channel(version).0,
            predicted: tokio::sync::OnceCell::new(),
        })
    }

    fn inner(&self) -> std::sync::MutexGuard<'_, Inner> {
        self.inner
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Returns how many times faster than on the pitch the cue clock runs: 1 but in a rehearsal.
    pub fn speed(&self) -> u32 {
        self.speed.load(Ordering::SeqCst).max(1)
    }

    /// Sets the speed of a rehearsal; returns false when one has been set before.
    pub fn set_speed(&self, speed: u32) -> bool {
        let order = Ordering::SeqCst;
        self.speed.compare_exchange(0, speed, order, order).is_ok()
    }

    /// Returns the number of events stored.
    pub fn version(&self) -> u64 {
        *self.version.borrow()
    }

    /// Returns what is expected of the people of the wave, made the first time it is asked for.
    pub async fn predicted<F, T>(&self, make: F) -> Result<Arc<Predictions>, Fault>
    where
        F: FnOnce() -> T,
        T: Future<Output = Result<Arc<Predictions>, Fault>>,
    {
        self.predicted.get_or_try_init(make).await.cloned()
    }

    /// Returns what tells of changes.
    pub fn watch(&self) -> watch::Receiver<u64> {
        self.version.subscribe()
    }

    /// Returns the state with the number of events behind it.
    pub fn state(&self) -> (u64, Arc<WaveState>) {
        self.inner().state()
    }

    /// Returns the state as it is sent, written out once a version.
    ///
    /// # Errors
    ///
    /// [`Fault::internal`] when it cannot be written.
    pub fn parts(&self) -> Result<Arc<Parts>, Fault> {
        let mut inner = self.inner();
        let (version, state) = inner.state();
        if let Some(parts) = inner.parts.as_ref().filter(|p| p.version() == version) {
            return Ok(parts.clone());
        }
        let parts = Arc::new(Parts::of(version, &state)?);
        inner.parts = Some(parts.clone());
        Ok(parts)
    }

    /// Records events of a sender: those that may be are on disk when this returns.
    ///
    /// # Errors
    ///
    /// [`Fault`] when the disk fails; then nothing is acknowledged.
    pub async fn record(
        &self,
        app: &App,
        sender: &str,
        events: Vec<Event>,
    ) -> Result<Recorded, Fault> {
        let mut done = Recorded::default();
        let mut taken = Vec::new();
        for event in events {
            let own = app
                .store()
                .claim(self.wave.id, &event.device.0, sender)
                .map_err(|_| Fault::internal())?;
            if own {
                taken.push(event);
            } else {
                let why = "`device` is in use by another phone; events of others cannot be sent";
                done.refused.push((event.id, why.to_owned()));
            }
        }
        let batch = taken.iter().map(stored_form).collect();
        let stored = app.keeper().append(self.wave.id, batch).await?;
        let mut new = Vec::new();
        for (event, stored) in taken.into_iter().zip(stored) {
            match stored {
                Stored::New => {
                    done.acknowledged.push(event.id);
                    new.push(event);
                }
                Stored::Already => done.acknowledged.push(event.id),
                Stored::NumberTaken => done.refused.push((
                    event.id,
                    "`device` and `seq` or `id` are in use by another event; use the next number"
                        .to_owned(),
                )),
            }
        }
        self.arrived(new);
        Ok(done)
    }

    /// Takes in events that are on disk.
    pub fn arrived(&self, new: Vec<Event>) {
        if new.is_empty() {
            return;
        }
        let version = {
            let mut inner = self.inner();
            let known: BTreeSet<Uuid> = inner.events.iter().map(|e| e.id).collect();
            let new = new.into_iter().filter(|e| !known.contains(&e.id));
            inner.events.extend(new);
            inner.events.len() as u64
        };
        self.version.send_replace(version);
    }

    /// Returns the highest logical clock of the events.
    pub fn order(&self) -> u64 {
        self.inner()
            .events
            .iter()
            .map(|e| e.order)
            .max()
            .unwrap_or(0)
    }

    /// Returns how many events a device has sent.
    pub fn last_seq(&self, device: &str) -> u64 {
        let inner = self.inner();
        let own = inner.events.iter().filter(|e| e.device.0 == device);
        own.map(|e| e.seq).max().unwrap_or(0)
    }
}

/// Returns an event as the archive stores it.
pub fn stored_form(event: &Event) -> NewEvent {
    NewEvent {
        id: event.id,
        device: event.device.0.clone(),
        seq: event.seq,
        body: event.to_line(),
    }
}

/// Returns a test by id.
pub fn known_test<'a>(app: &'a App, id: &str) -> Result<&'a Test, Fault> {
    app.catalogue()
        .get(id)
        .ok_or_else(|| Fault::missing("test definition", id))
}
