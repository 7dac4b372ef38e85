//! The real server on an archive of its own, with a wave of 24 and a guest's token for each device.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use axum::Router;
use axum::body::Body;
use axum::http::{Request, header};
use axum::serve::ListenerExt;
use plimsoll_archive::{Archive, NewEvent, PersonFacts, World};
use plimsoll_desk::plain_day;
use plimsoll_desk::test_day::{Expected, deal, opening};
use plimsoll_judge::{DeviceId, Event, Role, VERSION, What};
use plimsoll_ladder::Catalogue;
use plimsoll_site::{App, Clock, SiteOptions, router};
use tower::ServiceExt;
use uuid::Uuid;

use crate::Fault;

/// Joining is slowed for guessers: the clock goes ahead by so much for each guest, ms.
const PER_GUEST_MS: i64 = 10_000;

/// The machine's clock, moved on while guests join.
#[derive(Clone, Default)]
struct Hand(Arc<AtomicI64>);

impl Clock for Hand {
    fn now_ms(&self) -> i64 {
        self.0.load(Ordering::SeqCst) + jiff::Timestamp::now().as_millisecond()
    }

    fn new_id(&self) -> Uuid {
        Uuid::now_v7()
    }

    fn secret(&self) -> [u8; 32] {
        let mut bytes = [0; 32];
        for part in bytes.chunks_exact_mut(16) {
            part.copy_from_slice(Uuid::new_v4().as_bytes());
        }
        bytes
    }
}

impl World for Hand {
    fn now_ms(&self) -> i64 {
        Clock::now_ms(self)
    }

    fn new_id(&self) -> Uuid {
        Clock::new_id(self)
    }

    fn who(&self) -> String {
        "load".to_owned()
    }
}

/// A server with its guests.
pub struct Site {
    /// Where it listens.
    pub address: String,
    /// The live channel of the wave.
    pub path: String,
    /// A cookie for each device.
    pub cookies: Vec<String>,
    router: Router,
    view: String,
}

impl Site {
    /// Returns how many events of the wave are stored.
    pub async fn stored(&self) -> Result<u64, Fault> {
        let text = asked(&self.router, get(&self.view)?).await?.1;
        let view: serde_json::Value = serde_json::from_str(&text)?;
        Ok(view["version"].as_u64().unwrap_or_default())
    }
}

/// Starts it on an empty folder.
pub async fn start(folder: &Path, guests: usize) -> Result<Site, Fault> {
    let hand = Hand::default();
    let mut writer = Archive::create(folder.join("archive"), hand.clone())?;
    let catalogue = Catalogue::built_in();
    let test = catalogue.get("ir1").ok_or("no ir1")?;
    let day = writer.add_day(&plain_day("2026-11-25".parse()?, test))?;
    let mut names = BTreeMap::new();
    let mut runners = Vec::new();
    for n in 1..=24 {
        let called_name = format!("Runner {n}");
        let facts = PersonFacts {
            called_name: called_name.clone(),
            ..PersonFacts::default()
        };
        let person = writer.add_person(&facts, &[])?.to_string();
        names.insert(person.clone(), called_name);
        runners.push(Expected {
            person,
            bib: Some(n.to_string()),
            bouts: None,
        });
    }
    let plan = deal("ir1", &runners, 24, 1);
    let planned = plan.waves.first().ok_or("no wave")?;
    let opened = opening(planned, test, &catalogue, &names, &BTreeMap::new())?;
    let wave = writer.add_wave(day, 1, "Load")?;
    let event = Event {
        v: VERSION,
        id: Uuid::now_v7(),
        device: DeviceId("server".to_owned()),
        seq: 1,
        order: 1,
        at_ms: Clock::now_ms(&hand),
        cue_ms: None,
        cue_pm_ms: None,
        role: Role::Lead,
        by: None,
        what: What::Opened {
            plan: Box::new(opened),
        },
    };
    let stored = NewEvent {
        id: event.id,
        device: event.device.0.clone(),
        seq: event.seq,
        body: event.to_line(),
    };
    writer.append_events(&[(wave, stored)])?;
    let facts = plimsoll_interpret::Catalogue::built_in()?;
    let clock: Arc<dyn Clock> = Arc::new(hand.clone());
    let router = router(App::new(
        writer,
        catalogue,
        facts,
        SiteOptions::default(),
        clock,
    )?);

    let page = asked(&router, get(&format!("/wave/{wave}"))?).await?.1;
    let at = page.find("/join/").ok_or("no code")? + 6;
    let code: String = page[at..]
        .chars()
        .take_while(char::is_ascii_alphanumeric)
        .collect();
    let mut cookies = Vec::new();
    for n in 0..guests {
        hand.0.fetch_add(PER_GUEST_MS, Ordering::SeqCst);
        let request = Request::post(format!("/join/{code}"))
            .header(header::HOST, "127.0.0.1")
            .header(header::ORIGIN, "http://127.0.0.1")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(format!("name=Guest+{n}")))?;
        let (cookie, text) = asked(&router, request).await?;
        cookies.push(cookie.ok_or_else(|| format!("guest {n} was not admitted: {text}"))?);
    }
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?.to_string();
    let listener = listener.tap_io(|socket| {
        // As the server proper; without it the figures are only worse.
        let _ = socket.set_nodelay(true);
    });
    let served = router.clone();
    tokio::spawn(async move { axum::serve(listener, served).await });
    Ok(Site {
        address,
        path: format!("/api/waves/{wave}/live"),
        cookies,
        router,
        view: format!("/api/waves/{wave}"),
    })
}

fn get(path: &str) -> Result<Request<Body>, Fault> {
    Ok(Request::get(path)
        .header(header::HOST, "127.0.0.1")
        .body(Body::empty())?)
}

async fn asked(router: &Router, request: Request<Body>) -> Result<(Option<String>, String), Fault> {
    let answer = router.clone().oneshot(request).await?;
    let cookie = answer
        .headers()
        .get(header::SET_COOKIE)
        .and_then(|c| c.to_str().ok());
    let cookie = cookie.and_then(|c| c.split(';').next()).map(str::to_owned);
    let body = axum::body::to_bytes(answer.into_body(), 4 << 20).await?;
    Ok((cookie, String::from_utf8(body.to_vec())?))
}
