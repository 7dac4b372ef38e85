//! The devices: each taps in its turn and notes when answers and changes come.

use std::time::{Duration, Instant};

use futures_util::{SinkExt, StreamExt};
use serde_json::{Value, json};
use tokio_tungstenite::connect_async_with_config;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::tungstenite::{Message, Utf8Bytes};

use crate::Fault;

/// Time after the last tap for the last answers, s.
const REST_S: u64 = 5;

/// How much is asked of a server.
pub struct Load {
    /// Devices connected.
    pub devices: usize,
    /// Events a second, of all together.
    pub per_s: u64,
    /// How long, s.
    pub seconds: u64,
}

impl Load {
    /// Returns the number of events.
    pub fn events(&self) -> usize {
        usize::try_from(self.per_s * self.seconds).unwrap_or(usize::MAX)
    }
}

/// What a device saw.
#[derive(Default)]
struct Seen {
    sent: Vec<Instant>,
    acknowledged: Vec<(Instant, u64)>,
    changes: Vec<(Instant, u64)>,
    faults: Vec<String>,
}

/// Runs the devices; returns latencies in ms.
pub async fn run(
    load: &Load,
    address: &str,
    path: &str,
    cookies: &[String],
) -> Result<Value, Fault> {
    let begin = Instant::now() + Duration::from_secs(2);
    let mut devices = Vec::new();
    for (n, cookie) in cookies.iter().enumerate() {
        let mut request = format!("ws://{address}{path}").into_client_request()?;
        if !cookie.is_empty() {
            request.headers_mut().insert("cookie", cookie.parse()?);
        }
        let (socket, _) = connect_async_with_config(request, None, true).await?;
        let turns: Vec<Duration> = (n..load.events())
            .step_by(load.devices)
            .map(|turn| Duration::from_secs_f64(turn as f64 / load.per_s as f64))
            .collect();
        let end = begin + Duration::from_secs(load.seconds + REST_S);
        devices.push(tokio::spawn(device(n, socket, turns, begin, end)));
    }
    let mut seen = Vec::new();
    for device in devices {
        seen.push(device.await??);
    }
    summed(&seen)
}

type Socket =
    tokio_tungstenite::WebSocketStream<tokio_tungstenite::MaybeTlsStream<tokio::net::TcpStream>>;

async fn device(
    n: usize,
    socket: Socket,
    turns: Vec<Duration>,
    begin: Instant,
    end: Instant,
) -> Result<Seen, Fault> {
    let (mut out, mut news) = socket.split();
    let mut seen = Seen::default();
    let mut turns = turns.into_iter();
    let mut next = turns.next();
    loop {
        let due = next.map_or(end, |turn| begin + turn);
        tokio::select! {
            biased;
            () = tokio::time::sleep_until(due.into()) => {
                if next.is_none() {
                    return Ok(seen);
                }
                let event = tap(n, seen.sent.len());
                seen.sent.push(Instant::now());
                out.send(Message::Text(event.into())).await?;
                next = turns.next();
            }
            said = news.next() => match said {
                Some(Ok(Message::Text(text))) => note(&mut seen, &text),
                Some(Ok(_)) => {}
                other => return Err(format!("device {n} was cut off: {other:?}").into()),
            }
        }
    }
}

/// A miss, and in the next turn its undo: so the wave stays as full as real ones are.
fn tap(device: usize, k: usize) -> String {
    let id = |k: usize| format!("01950000-{:04x}-7000-8000-{:012x}", device, k + 1);
    let what = if k.is_multiple_of(2) {
        json!({"kind": "miss", "lane": device % 24 + 1, "bout": 1 + k / 2, "cue": 1})
    } else {
        json!({"kind": "undo", "event": id(k - 1)})
    };
    let event = json!({
        "v": 1, "id": id(k), "device": format!("device-{device}"), "seq": k + 1, "order": k + 2,
        "at_ms": 1_795_000_000_000u64, "cue_ms": 10_000 + k, "cue_pm_ms": 5, "role": "assessor", "what": what,
    });
    json!({"type": "events", "events": [event]}).to_string()
}

fn note(seen: &mut Seen, text: &Utf8Bytes) {
    let now = Instant::now();
    let version = text.find("\"version\":").and_then(|at| {
        let rest = &text[at + 10..];
        let end = rest.find(|c: char| !c.is_ascii_digit())?;
        rest[..end].parse::<u64>().ok()
    });
    match version {
        Some(version) if text.contains("\"type\":\"ack\"") => {
            if text.contains("\"why\"") {
                seen.faults.push(text.to_string());
            }
            seen.acknowledged.push((now, version));
        }
        Some(version) => seen.changes.push((now, version)),
        None => seen.faults.push(text.to_string()),
    }
}

fn summed(seen: &[Seen]) -> Result<Value, Fault> {
    if let Some(fault) = seen.iter().flat_map(|s| &s.faults).next() {
        return Err(format!("refused: {fault}").into());
    }
    let (mut acks, mut screens) = (Vec::new(), Vec::new());
    for (n, own) in seen.iter().enumerate() {
        if own.acknowledged.len() != own.sent.len() {
            return Err(format!(
                "device {n}: {} of {} acknowledged",
                own.acknowledged.len(),
                own.sent.len()
            )
            .into());
        }
        for (sent, (acknowledged, version)) in own.sent.iter().zip(&own.acknowledged) {
            acks.push((*acknowledged - *sent).as_secs_f64() * 1e3);
            for (m, other) in seen.iter().enumerate() {
                if m == n {
                    continue;
                }
                let at = other.changes.partition_point(|(_, shown)| shown < version);
                let (shown, _) = other
                    .changes
                    .get(at)
                    .ok_or_else(|| format!("device {m} never saw version {version}"))?;
                screens.push(shown.saturating_duration_since(*sent).as_secs_f64() * 1e3);
            }
        }
    }
    Ok(json!({ "ack_ms": spread(&mut acks), "screens_ms": spread(&mut screens) }))
}

fn spread(all: &mut [f64]) -> Value {
    all.sort_by(f64::total_cmp);
    let at = |share: f64| all[((all.len() - 1) as f64 * share).round() as usize];
    json!({ "p50": at(0.5), "p99": at(0.99), "max": at(1.0), "n": all.len() })
}
