//! A server on an archive of its own, asked without a network.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use jiff::ToSpan;
use jiff::civil::Date;
use plimsoll_archive::{
    Archive, DayId, NewEvent, PersonFacts, ResultFacts, Sex, WaveId, World, Writer,
};
use plimsoll_desk::plain_day;
use plimsoll_desk::test_day::{Expected, deal, opening};
use plimsoll_judge::{Amount, DeviceId, Event, Outcome, Role, StopReason, VERSION, What};
use plimsoll_ladder::Catalogue;
use plimsoll_site::{App, Clock, SiteOptions, router};
use serde_json::{Value, json};
use tower::ServiceExt;
use uuid::Uuid;

/// A clock that a test moves, with ids and secrets that differ each time.
pub struct Hand {
    now: AtomicI64,
    next: AtomicU64,
}

impl Hand {
    pub fn new(first: u64) -> Self {
        Self {
            now: AtomicI64::new(1_795_000_000_000),
            next: AtomicU64::new(first),
        }
    }

    pub fn pass(&self, ms: i64) {
        self.now.fetch_add(ms, Ordering::SeqCst);
    }

    fn number(&self) -> u64 {
        self.next.fetch_add(1, Ordering::SeqCst)
    }
}

impl Clock for Hand {
    fn now_ms(&self) -> i64 {
        self.now.load(Ordering::SeqCst)
    }

    fn new_id(&self) -> Uuid {
        Uuid::from_u128(0x0195_0000_0000_7000_8000_0000_0000_0000 + u128::from(self.number()))
    }

    fn secret(&self) -> [u8; 32] {
        let mut secret = [0; 32];
        let n = self.number();
        for (at, byte) in secret.iter_mut().enumerate() {
            *byte = (n.wrapping_mul(0x9E37_79B9_7F4A_7C15 ^ at as u64) >> 24) as u8;
        }
        secret
    }
}

/// The archive's world.
#[derive(Clone)]
struct Desk(Arc<Hand>);

impl World for Desk {
    fn now_ms(&self) -> i64 {
        Clock::now_ms(self.0.as_ref())
    }

    fn new_id(&self) -> Uuid {
        Clock::new_id(self.0.as_ref())
    }

    fn who(&self) -> String {
        "test".to_owned()
    }
}

pub struct Site {
    pub folder: tempfile::TempDir,
    pub router: Router,
    pub clock: Arc<Hand>,
    pub day: DayId,
    pub waves: Vec<WaveId>,
    pub people: Vec<String>,
}

/// An answer.
pub struct Answer {
    pub status: StatusCode,
    pub cookie: Option<String>,
    pub to: Option<String>,
    pub headers: axum::http::HeaderMap,
    pub text: String,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap_or_else(|e| panic!("{e}: {}", self.text))
    }

    /// Returns the seal of the forms of a page.
    pub fn seal(&self) -> String {
        let mark = "name=\"seal\" value=\"";
        let at = self.text.find(mark).expect("a form") + mark.len();
        self.text[at..at + 64].to_owned()
    }
}

pub const LEAD: &str = "a long passphrase";
pub const MEDIC: &str = "another long one";

fn app(writer: Writer, clock: Arc<Hand>, beyond: bool) -> Result<App, plimsoll_site::SiteError> {
    let facts = plimsoll_interpret::Catalogue::built_in().expect("shipped");
    let options = SiteOptions {
        beyond,
        address: "http://192.0.2.7:8097".to_owned(),
        hosts: vec!["192.0.2.7".to_owned()],
        ..SiteOptions::default()
    };
    App::new(writer, Catalogue::built_in(), facts, options, clock)
}

impl Site {
    /// Returns a server for this machine only, with a day and two waves of six of `ir1`.
    pub fn new() -> Self {
        Self::made(false, |_| {})
    }

    /// Returns a server for this machine only, whose archive was filled further first.
    pub fn filled_with(fill: impl FnOnce(&mut Writer)) -> Self {
        Self::made(false, |filled| fill(&mut filled.writer))
    }

    /// Returns a server that needs passphrases.
    pub fn guarded() -> Self {
        Self::made(true, |_| {})
    }

    /// Returns a server for this machine with earlier days, four weeks apart, on which all twelve
    /// ran: `bouts(person, day)` of `ir1`, both from 0.
    pub fn with_results(days: usize, bouts: impl Fn(usize, usize) -> u32) -> Self {
        Self::made(false, |filled| {
            let catalogue = Catalogue::built_in();
            let test = catalogue.get("ir1").expect("shipped");
            let people = filled.writer.people().expect("read");
            for day in 0..days {
                let first = Date::constant(2026, 3, 7);
                let date = first + (28 * day as i64).days();
                let id = filled
                    .writer
                    .add_day(&plain_day(date, test))
                    .expect("taken");
                for person in &people {
                    let at = filled
                        .people
                        .iter()
                        .position(|p| *p == person.id.to_string());
                    let facts = ResultFacts::of(Outcome {
                        ladder: "ir1".to_owned(),
                        amount: Amount::Bouts(bouts(at.expect("known"), day)),
                        reason: StopReason::Exhaustion,
                    });
                    filled
                        .writer
                        .add_result(person.id, id, &facts)
                        .expect("taken");
                }
            }
        })
    }

    fn made(beyond: bool, more: impl FnOnce(&mut Filled)) -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let clock = Arc::new(Hand::new(1));
        let mut filled = filled(&folder.path().join("archive"), &clock);
        more(&mut filled);
        let Filled {
            writer,
            day,
            waves,
            people,
        } = filled;
        if beyond {
            let store = json!({});
            std::fs::write(writer.dir().join("site.json"), store.to_string()).expect("written");
        }
        let router = if beyond {
            passphrases(writer.dir());
            router(app(writer, clock.clone(), true).expect("starts"))
        } else {
            router(app(writer, clock.clone(), false).expect("starts"))
        };
        Self {
            folder,
            router,
            clock,
            day,
            waves,
            people,
        }
    }

    /// Stops the server as a killed process would, and starts another on the same archive.
    pub fn restarted(self, beyond: bool) -> Self {
        let Self {
            folder,
            router: old,
            clock,
            day,
            waves,
            people,
        } = self;
        drop(old);
        let dir = folder.path().join("archive");
        let open = || Archive::open_writer(&dir, Desk(clock.clone()));
        // The thread that owns the archive ends a moment after the last handle.
        let writer = (0..200).find_map(|_| {
            std::thread::sleep(std::time::Duration::from_millis(10));
            open().ok()
        });
        let app = app(writer.expect("free again"), clock.clone(), beyond).expect("starts");
        Self {
            folder,
            router: router(app),
            clock,
            day,
            waves,
            people,
        }
    }

    /// Gives the first person a sex, a date of birth and results of `ir1`, and starts the server anew.
    pub fn with_past(self, name: &str, born: &str, bouts: &[(&str, u32)]) -> Self {
        let Self {
            folder,
            router: old,
            clock,
            day,
            waves,
            people,
        } = self;
        drop(old);
        let dir = folder.path().join("archive");
        let mut writer = (0..200)
            .find_map(|_| {
                std::thread::sleep(std::time::Duration::from_millis(10));
                Archive::open_writer(&dir, Desk(clock.clone())).ok()
            })
            .expect("free again");
        let person = people[0].parse().expect("an id");
        let facts = PersonFacts {
            called_name: name.to_owned(),
            sex: Some(Sex::Male),
            birth_date: Some(born.parse().expect("a date")),
            ..PersonFacts::default()
        };
        writer.set_person(person, &facts).expect("taken");
        let catalogue = Catalogue::built_in();
        let test = catalogue.get("ir1").expect("shipped");
        for (on, bouts) in bouts {
            let id = writer
                .add_day(&plain_day(on.parse().expect("a date"), test))
                .expect("taken");
            let outcome = Outcome {
                ladder: "ir1".to_owned(),
                amount: Amount::Bouts(*bouts),
                reason: StopReason::Exhaustion,
            };
            let facts = ResultFacts::of(outcome);
            writer.add_result(person, id, &facts).expect("taken");
        }
        drop(writer);
        Self {
            folder,
            router: Router::new(),
            clock,
            day,
            waves,
            people,
        }
        .restarted(false)
    }

    pub async fn ask(&self, request: Request<Body>) -> Answer {
        let response = self.router.clone().oneshot(request).await.expect("answers");
        let headers = response.headers().clone();
        let status = response.status();
        let text = |name| {
            let value = headers.get(name)?;
            Some(value.to_str().ok()?.to_owned())
        };
        let cookie = text(header::SET_COOKIE).map(|c| c.split(';').next().unwrap_or("").to_owned());
        let to = text(header::LOCATION);
        let body = axum::body::to_bytes(response.into_body(), 1 << 26)
            .await
            .expect("a body");
        Answer {
            status,
            cookie,
            to,
            headers,
            text: String::from_utf8_lossy(&body).into_owned(),
        }
    }

    pub async fn get(&self, path: &str, cookie: Option<&str>) -> Answer {
        self.ask(request(Method::GET, path, cookie, &[], "")).await
    }

    /// Sends JSON as a program of this server would.
    pub async fn post_json(&self, path: &str, cookie: Option<&str>, body: &str) -> Answer {
        let own = [("x-plimsoll", "1"), ("content-type", "application/json")];
        self.ask(request(Method::POST, path, cookie, &own, body))
            .await
    }

    pub async fn post_form(&self, path: &str, cookie: Option<&str>, body: &str) -> Answer {
        let kind = [("content-type", "application/x-www-form-urlencoded")];
        self.ask(request(Method::POST, path, cookie, &kind, body))
            .await
    }

    /// Enters with a passphrase; returns the cookie.
    pub async fn enter(&self, passphrase: &str) -> String {
        let body = format!("passphrase={}", passphrase.replace(' ', "+"));
        let answer = self.post_form("/enter", None, &body).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        answer.cookie.expect("a cookie")
    }

    /// Joins a wave as its first assessor; returns the cookie.
    pub async fn join(&self, wave: usize, lead: Option<&str>, name: &str) -> String {
        let page = self.get(&format!("/wave/{}", self.waves[wave]), lead).await;
        let at = page.text.find("/join/").expect("a code") + "/join/".len();
        let code = &page.text[at..at + 6];
        let answer = self
            .post_form(&format!("/join/{code}"), None, &format!("name={name}"))
            .await;
        assert_eq!(answer.to, Some(format!("/line/{}", self.waves[wave])));
        answer.cookie.expect("a cookie")
    }

    pub fn wave(&self, n: usize, rest: &str) -> String {
        format!("/api/waves/{}{rest}", self.waves[n])
    }
}

/// An archive with a day and two waves of six of `ir1`.
pub struct Filled {
    pub writer: Writer,
    pub day: DayId,
    pub waves: Vec<WaveId>,
    pub people: Vec<String>,
}

/// Makes one.
pub fn filled(at: &Path, clock: &Arc<Hand>) -> Filled {
    let mut writer = Archive::create(at, Desk(clock.clone())).expect("archive");
    let catalogue = Catalogue::built_in();
    let test = catalogue.get("ir1").expect("shipped");
    let date = "2026-11-25".parse().expect("a date");
    let day = writer.add_day(&plain_day(date, test)).expect("taken");
    let mut names = std::collections::BTreeMap::new();
    let runners: Vec<Expected> = (1..=12)
        .map(|n| {
            let facts = PersonFacts {
                called_name: format!("Runner {n}"),
                ..PersonFacts::default()
            };
            let person = writer.add_person(&facts, &[]).expect("taken").to_string();
            names.insert(person.clone(), facts.called_name);
            Expected {
                person,
                bib: Some(n.to_string()),
                bouts: Some(n),
            }
        })
        .collect();
    let plan = deal("ir1", &runners, 6, 2);
    let waves = plan
        .waves
        .iter()
        .map(|wave| {
            let plan = opening(wave, test, &catalogue, &names, &Default::default());
            let plan = Box::new(plan.expect("opens"));
            let id = writer
                .add_wave(day, wave.number, &wave.name)
                .expect("taken");
            let event = event_of("server", 1, 1, None, What::Opened { plan });
            let stored = NewEvent {
                id: World::new_id(&Desk(clock.clone())),
                device: "server".to_owned(),
                seq: 1,
                body: event.to_line(),
            };
            writer.append_events(&[(id, stored)]).expect("stored");
            id
        })
        .collect();
    let people = runners.into_iter().map(|r| r.person).collect();
    Filled {
        writer,
        day,
        waves,
        people,
    }
}

/// Adds men with results of `ir1` on days four weeks apart, the last on 14 November 2026:
/// `bouts(person, day)`, none where a person did not run. Returns the days.
pub fn add_squad(
    writer: &mut Writer,
    people: usize,
    days: i64,
    bouts: impl Fn(usize, i64) -> Option<u32>,
) -> Vec<DayId> {
    let catalogue = Catalogue::built_in();
    let test = catalogue.get("ir1").expect("shipped");
    let people: Vec<_> = (0..people)
        .map(|n| {
            let facts = PersonFacts {
                called_name: format!("Person {n}"),
                sex: Some(Sex::Male),
                birth_date: Some(Date::constant(2001, 1, 1)),
                ..PersonFacts::default()
            };
            writer.add_person(&facts, &[]).expect("taken")
        })
        .collect();
    let last = Date::constant(2026, 11, 14);
    let mut made = Vec::new();
    for day in 0..days {
        let date = last
            .checked_sub((28 * (days - 1 - day)).days())
            .expect("a date");
        let id = writer.add_day(&plain_day(date, test)).expect("taken");
        for (n, person) in people.iter().enumerate() {
            let Some(bouts) = bouts(n, day) else { continue };
            let facts = ResultFacts::of(Outcome {
                ladder: "ir1".to_owned(),
                amount: Amount::Bouts(bouts),
                reason: StopReason::Exhaustion,
            });
            writer.add_result(*person, id, &facts).expect("taken");
        }
        made.push(id);
    }
    made
}

/// Sets the passphrases as `serve` does, cheap to check in a test.
fn passphrases(dir: &Path) {
    use argon2::password_hash::{PasswordHasher, SaltString};
    use argon2::{Algorithm, Argon2, Params, Version};
    let params = Params::new(8, 1, 1, None).expect("allowed");
    let hasher = Argon2::new(Algorithm::Argon2id, Version::V0x13, params);
    let hash = |word: &str| {
        let salt = SaltString::encode_b64(b"sixteen bytes ok").expect("a salt");
        let made = hasher
            .hash_password(word.as_bytes(), &salt)
            .expect("hashed");
        made.to_string()
    };
    let store = json!({ "lead": hash(LEAD), "medic": hash(MEDIC) });
    std::fs::write(dir.join("site.json"), store.to_string()).expect("written");
}

pub fn request(
    method: Method,
    path: &str,
    cookie: Option<&str>,
    headers: &[(&str, &str)],
    body: &str,
) -> Request<Body> {
    let mut builder = Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "localhost:8097");
    if let Some(cookie) = cookie {
        builder = builder.header(header::COOKIE, cookie);
    }
    for (name, value) in headers {
        builder = builder.header(*name, *value);
    }
    builder
        .body(Body::from(body.to_owned()))
        .expect("a request")
}

/// Returns an event as a phone writes it.
pub fn event_of(device: &str, seq: u64, order: u64, cue_ms: Option<i64>, what: What) -> Event {
    let mut key = [0; 16];
    let name = format!("{device}/{seq}");
    for (at, byte) in name.bytes().enumerate() {
        key[at % 16] ^= byte.rotate_left(at as u32 % 8);
    }
    Event {
        v: VERSION,
        id: Uuid::from_bytes(key),
        device: DeviceId(device.to_owned()),
        seq,
        order,
        at_ms: 1_795_000_000_000,
        cue_ms,
        cue_pm_ms: None,
        // The server puts in the role of the token; for its own event this one stands.
        role: Role::Lead,
        by: None,
        what,
    }
}

pub fn batch(events: &[Event]) -> String {
    json!({ "events": events }).to_string()
}
