//! The one thread that owns the archive: events of many phones go to disk in one commit.
//! Must acknowledge nothing before it is on disk.

use std::panic::AssertUnwindSafe;
use std::thread::JoinHandle;

use plimsoll_archive::{ArchiveError, NewEvent, Stored, WaveId, Writer};
use tokio::sync::{mpsc, oneshot};

use crate::fault::Fault;

/// Jobs that may wait.
const WAITING: usize = 4_096;
/// Batches of events in one commit.
const TOGETHER: usize = 256;

type Work = Box<dyn FnOnce(&mut Writer) + Send>;

enum Job {
    Append {
        wave: WaveId,
        events: Vec<NewEvent>,
        reply: oneshot::Sender<Result<Vec<Stored>, Fault>>,
    },
    Work(Work),
}

/// A handle on the archive.
#[derive(Clone)]
pub struct Keeper {
    jobs: mpsc::Sender<Job>,
}

impl Keeper {
    /// Starts the thread. It ends when every handle is gone.
    pub fn start(writer: Writer) -> (Self, JoinHandle<()>) {
        let (jobs, inbox) = mpsc::channel(WAITING);
        let thread = std::thread::spawn(move || run(writer, inbox));
        (Self { jobs }, thread)
    }

    /// Stores events of a wave; they are on disk when this returns.
    pub async fn append(&self, wave: WaveId, events: Vec<NewEvent>) -> Result<Vec<Stored>, Fault> {
        let (reply, answer) = oneshot::channel();
        let job = Job::Append {
            wave,
            events,
            reply,
        };
        self.jobs.send(job).await.map_err(|_| Fault::internal())?;
        answer.await.map_err(|_| Fault::internal())?
    }

    /// Does work with the archive on its thread.
    pub async fn with<T: Send + 'static>(
        &self,
        work: impl FnOnce(&mut Writer) -> Result<T, Fault> + Send + 'static,
    ) -> Result<T, Fault> {
        let (reply, answer) = oneshot::channel();
        let job = Job::Work(Box::new(move |writer| {
            // The asker may have gone; the work is done all the same.
            let _ = reply.send(work(writer));
        }));
        self.jobs.send(job).await.map_err(|_| Fault::internal())?;
        answer.await.map_err(|_| Fault::internal())?
    }
}

fn run(mut writer: Writer, mut inbox: mpsc::Receiver<Job>) {
    while let Some(first) = inbox.blocking_recv() {
        let mut next = Some(first);
        while let Some(job) = next.take() {
            match job {
                Job::Work(work) => {
                    // A panic in one page must not take the log of everybody along.
                    let _ = std::panic::catch_unwind(AssertUnwindSafe(|| work(&mut writer)));
                }
                Job::Append {
                    wave,
                    events,
                    reply,
                } => {
                    let mut together = vec![(wave, events, reply)];
                    while together.len() < TOGETHER {
                        match inbox.try_recv() {
                            Ok(Job::Append {
                                wave,
                                events,
                                reply,
                            }) => together.push((wave, events, reply)),
                            Ok(other) => {
                                next = Some(other);
                                break;
                            }
                            Err(_) => break,
                        }
                    }
                    commit(&mut writer, together);
                }
            }
        }
    }
}

type Waiting = (
    WaveId,
    Vec<NewEvent>,
    oneshot::Sender<Result<Vec<Stored>, Fault>>,
);

/// Stores all in one commit; should one spoil it for the others, each by itself.
fn commit(writer: &mut Writer, waiting: Vec<Waiting>) {
    let batch: Vec<(WaveId, NewEvent)> = waiting
        .iter()
        .flat_map(|(wave, events, _)| events.iter().map(|event| (*wave, event.clone())))
        .collect();
    match writer.append_events(&batch) {
        Ok(mut stored) => {
            for (_, events, reply) in waiting {
                let rest = stored.split_off(events.len().min(stored.len()));
                let _ = reply.send(Ok(std::mem::replace(&mut stored, rest)));
            }
        }
        Err(_) => {
            for (wave, events, reply) in waiting {
                let own: Vec<_> = events.into_iter().map(|event| (wave, event)).collect();
                let stored: Result<_, ArchiveError> = writer.append_events(&own);
                let _ = reply.send(stored.map_err(Fault::from));
            }
        }
    }
}
