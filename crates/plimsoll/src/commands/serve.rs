//! `plimsoll serve`: the pages of the test day from this machine.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;

use plimsoll_archive::{Archive, World, Writer};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;
use plimsoll_site::{Clock, Listening, TlsChoice};
use uuid::Uuid;

use super::rehearsal;
use crate::cli::Serve;
use crate::failure::{Failure, Found};
use crate::places::{self, Session};
use crate::print;
use crate::world::Machine;

/// This machine, for the server.
struct Here(Machine);

impl Clock for Here {
    fn now_ms(&self) -> i64 {
        self.0.now_ms()
    }

    fn new_id(&self) -> Uuid {
        self.0.new_id()
    }

    fn secret(&self) -> [u8; 32] {
        let mut bytes = [0; 32];
        for part in bytes.chunks_exact_mut(16) {
            part.copy_from_slice(Uuid::new_v4().as_bytes());
        }
        bytes
    }
}

/// Serves until the process is told to end.
pub fn run(
    session: &Session,
    catalogue: Catalogue,
    facts: Facts,
    args: &Serve,
) -> Result<Found, Failure> {
    let machine = Machine::acting_as(session.who.as_deref());
    let clock: Arc<dyn Clock> = Arc::new(Here(machine.clone()));
    // A rehearsal has an archive of its own, gone when it ends.
    let scratch = if args.rehearse {
        Some(tempfile::tempdir().map_err(Failure::new)?)
    } else {
        None
    };
    let writer: Writer = match &scratch {
        Some(folder) => {
            let mut writer = Archive::create(folder.path().join("archive"), machine)?;
            rehearsal::fill(&mut writer, &catalogue)?;
            writer
        }
        None => session.write_or_create()?,
    };
    let made = args.new_passphrase.then(|| passphrase(clock.as_ref()));
    let given = |file: &Option<std::path::PathBuf>| file.as_deref().map(first_line).transpose();
    let listening = Listening {
        address: SocketAddr::new(args.listen, args.port),
        tls: match (&args.cert, &args.key) {
            (Some(cert), Some(key)) => TlsChoice::Given {
                cert: cert.clone(),
                key: key.clone(),
            },
            _ if args.tls => TlsChoice::Own,
            _ => TlsChoice::Plain,
        },
        passphrase: given(&args.passphrase_file)?.or_else(|| made.clone()),
        medic_passphrase: given(&args.medic_passphrase_file)?,
        rehearse: args.rehearse,
    };
    let tell = |urls: &[String], authority: Option<&str>| {
        let mut text = String::new();
        if args.rehearse {
            text += "A rehearsal with an invented squad. Nothing of it is kept.\n";
        }
        for url in urls {
            text += &format!("Open {url}\n");
        }
        if let Some(passphrase) = &made {
            text += &format!("Passphrase of the lead: {passphrase}\n");
        }
        if let Some(authority) = authority {
            text += &format!("Fingerprint of this archive's authority (SHA-256): {authority}\n");
        }
        text += "Stop with Ctrl-C. What was acknowledged is on disk.";
        // A closed pipe must not end the server.
        let _ = print::text(text);
    };
    let runtime = tokio::runtime::Runtime::new().map_err(Failure::new)?;
    let stop = async {
        // Without a way to be told, it runs until it is killed.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    runtime
        .block_on(plimsoll_site::serve(
            writer, catalogue, facts, clock, listening, tell, stop,
        ))
        .map_err(Failure::new)?;
    Ok(Found::Nothing)
}

fn first_line(path: &Path) -> Result<String, Failure> {
    let text = places::read_small(path)?;
    Ok(text.lines().next().unwrap_or_default().trim().to_owned())
}

/// Returns four groups of letters that are easy to read out: about 75 bits.
fn passphrase(clock: &dyn Clock) -> String {
    const LETTERS: &[u8; 27] = b"abcdefghjkmnpqrstuvwxyz2345";
    let secret = clock.secret();
    let groups: Vec<String> = secret[..16]
        .chunks(4)
        .map(|group| {
            let letter = |byte: &u8| char::from(LETTERS[usize::from(*byte) % LETTERS.len()]);
            group.iter().map(letter).collect()
        })
        .collect();
    groups.join("-")
}
