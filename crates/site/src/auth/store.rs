//! What the server remembers of devices between restarts: one file, hashes only, for its owner alone.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use argon2::Argon2;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};
use plimsoll_archive::{DayId, WaveId, sha256_hex};
use serde::{Deserialize, Serialize};

use super::Role;
use crate::fault::SiteError;

/// A code can be used for this long, ms: a test day.
const CODE_LIFE_MS: i64 = 24 * 3_600_000;
/// A session lasts this long, ms: a week.
const SESSION_LIFE_MS: i64 = 7 * 24 * 3_600_000;
/// Letters and digits that nobody takes for another; 6 of 30 make 7 × 10⁸ codes.
const LETTERS: &[u8; 30] = b"ABCDEFGHJKMNPQRSTVWXYZ23456789";
/// Letters of a code.
const CODE_LENGTH: usize = 6;

/// Someone the server has admitted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Known {
    /// SHA-256 of the token.
    pub hash: String,
    /// The role.
    pub role: Role,
    /// The name given.
    pub name: String,
    /// A short name of the device.
    pub device: String,
    /// The only wave it opens; nothing for the lead and the medic.
    pub wave: Option<WaveId>,
    /// The lanes watched, in order; empty for all.
    pub lanes: Vec<u16>,
    /// When it was admitted, ms since 1970.
    pub since_ms: i64,
    /// Whether the lead has dropped it.
    pub dropped: bool,
}

/// A code that admits a device to a wave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Invitation {
    /// The code.
    pub code: String,
    /// The wave.
    pub wave: WaveId,
    /// The lanes to watch, in order.
    pub lanes: Vec<u16>,
    /// The assessor's name on the plan.
    pub name: String,
    /// When it was made, ms since 1970.
    pub since_ms: i64,
}

/// A code with which the people of a day answer the arrival questions on their own phones.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct DayCode {
    code: String,
    day: DayId,
    since_ms: i64,
}

#[derive(Debug, Default, Serialize, Deserialize)]
struct File {
    #[serde(default)]
    lead: Option<String>,
    #[serde(default)]
    medic: Option<String>,
    #[serde(default)]
    known: Vec<Known>,
    #[serde(default)]
    invitations: Vec<Invitation>,
    #[serde(default)]
    days: Vec<DayCode>,
    /// By wave and name of a device in its events: who sends under that name.
    #[serde(default)]
    senders: BTreeMap<String, String>,
}

/// How the lead's and the medic's pages are reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// Whoever reaches the server is the lead: it listens on this machine only, without passphrase.
    Open,
    /// A passphrase is needed.
    Passphrase,
}

/// The memory of the server.
pub struct Store {
    path: PathBuf,
    file: Mutex<File>,
}

impl Store {
    /// Opens the memory in a folder; an empty one when there is none.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] and [`SiteError::Damaged`].
    pub fn open(folder: &Path) -> Result<Self, SiteError> {
        let path = folder.join("site.json");
        let file = match fs::read_to_string(&path) {
            Ok(text) => serde_json::from_str(&text).map_err(|error| SiteError::Damaged {
                path: path.clone(),
                why: error.to_string(),
            })?,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => File::default(),
            Err(source) => {
                return Err(SiteError::File {
                    what: "read",
                    path,
                    source,
                });
            }
        };
        Ok(Self {
            path,
            file: Mutex::new(file),
        })
    }

    fn file(&self) -> std::sync::MutexGuard<'_, File> {
        self.file
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Changes the memory and writes it whole: the new file takes the old one's place at once.
    fn change<T>(&self, work: impl FnOnce(&mut File) -> T) -> Result<T, SiteError> {
        let mut file = self.file();
        let done = work(&mut file);
        let text = serde_json::to_string_pretty(&*file).unwrap_or_default();
        write_private(&self.path, text.as_bytes())?;
        Ok(done)
    }

    /// Returns whether a passphrase is set for a role.
    pub fn has_passphrase(&self, role: Role) -> bool {
        let file = self.file();
        match role {
            Role::Lead => file.lead.is_some(),
            Role::Medic => file.medic.is_some(),
            Role::Assessor => false,
        }
    }

    /// Sets the passphrase of the lead or the medic.
    ///
    /// # Errors
    ///
    /// [`SiteError::ShortPassphrase`] below 10 characters.
    pub fn set_passphrase(
        &self,
        role: Role,
        passphrase: &str,
        salt: &[u8; 32],
    ) -> Result<(), SiteError> {
        let found = passphrase.chars().count();
        if found < 10 {
            return Err(SiteError::ShortPassphrase { found });
        }
        let salt = SaltString::encode_b64(&salt[..16])
            .map_err(|error| SiteError::Tls(error.to_string()))?;
        let hash = Argon2::default()
            .hash_password(passphrase.as_bytes(), &salt)
            .map_err(|error| SiteError::Tls(error.to_string()))?
            .to_string();
        self.change(|file| match role {
            Role::Medic => file.medic = Some(hash),
            Role::Lead | Role::Assessor => file.lead = Some(hash),
        })
    }

    /// Returns the role that a passphrase opens.
    pub fn role_of(&self, passphrase: &str) -> Option<Role> {
        let (lead, medic) = {
            let file = self.file();
            (file.lead.clone(), file.medic.clone())
        };
        let fits = |hash: Option<String>| {
            hash.is_some_and(|hash| {
                PasswordHash::new(&hash).is_ok_and(|hash| {
                    Argon2::default()
                        .verify_password(passphrase.as_bytes(), &hash)
                        .is_ok()
                })
            })
        };
        // Both are tried each time, so that the time taken tells nothing.
        let (is_lead, is_medic) = (fits(lead), fits(medic));
        if is_lead {
            Some(Role::Lead)
        } else {
            is_medic.then_some(Role::Medic)
        }
    }

    /// Admits someone; returns the token to give them, which is kept nowhere.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] when the memory cannot be written.
    pub fn admit(&self, mut known: Known, secret: &[u8; 32]) -> Result<String, SiteError> {
        let token = hex(secret);
        known.hash = sha256_hex(token.as_bytes());
        known.device = known.hash[..10].to_owned();
        let now = known.since_ms;
        self.change(|file| {
            file.known.retain(|k| now - k.since_ms < SESSION_LIFE_MS);
            file.known.push(known);
        })?;
        Ok(token)
    }

    /// Returns who has a token.
    pub fn known(&self, token: &str, now_ms: i64) -> Option<Known> {
        let hash = sha256_hex(token.as_bytes());
        let file = self.file();
        let found = file.known.iter().find(|k| k.hash == hash)?;
        let fresh = now_ms - found.since_ms < SESSION_LIFE_MS;
        (fresh && !found.dropped).then(|| found.clone())
    }

    /// Returns the devices admitted to a wave.
    pub fn devices(&self, wave: WaveId) -> Vec<Known> {
        let file = self.file();
        file.known
            .iter()
            .filter(|k| k.wave == Some(wave))
            .cloned()
            .collect()
    }

    /// Drops a device: its token opens nothing from now on.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] when the memory cannot be written.
    pub fn drop_device(&self, wave: WaveId, device: &str) -> Result<bool, SiteError> {
        self.change(|file| {
            let found = file
                .known
                .iter_mut()
                .find(|k| k.wave == Some(wave) && k.device == device);
            found.is_some_and(|known| {
                known.dropped = true;
                true
            })
        })
    }

    /// Forgets a session.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] when the memory cannot be written.
    pub fn leave(&self, token: &str) -> Result<(), SiteError> {
        let hash = sha256_hex(token.as_bytes());
        self.change(|file| file.known.retain(|k| k.hash != hash))
    }

    /// Takes a name of a device in the events of a wave for whoever uses it first; returns whether
    /// it is theirs.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] when the memory cannot be written.
    pub fn claim(&self, wave: WaveId, device: &str, who: &str) -> Result<bool, SiteError> {
        let key = format!("{wave}/{device}");
        if let Some(owner) = self.file().senders.get(&key) {
            return Ok(owner == who);
        }
        self.change(|file| {
            let owner = file.senders.entry(key).or_insert_with(|| who.to_owned());
            owner == who
        })
    }

    /// Makes a code that admits devices to a wave, or returns the one that is there already.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] when the memory cannot be written.
    pub fn invite(
        &self,
        mut invitation: Invitation,
        secret: &[u8; 32],
    ) -> Result<Invitation, SiteError> {
        let now = invitation.since_ms;
        let same = |i: &Invitation| {
            i.wave == invitation.wave && i.name == invitation.name && i.lanes == invitation.lanes
        };
        if let Some(found) = self.invitations(now).into_iter().find(same) {
            return Ok(found);
        }
        invitation.code = code_from(secret);
        self.change(|file| {
            file.invitations.retain(|i| now - i.since_ms < CODE_LIFE_MS);
            file.invitations.push(invitation.clone());
        })?;
        Ok(invitation)
    }

    /// Returns the invitation with a code, however it is written.
    pub fn invitation(&self, code: &str, now_ms: i64) -> Option<Invitation> {
        let code = code.trim().to_ascii_uppercase();
        self.invitations(now_ms)
            .into_iter()
            .find(|i| i.code == code)
    }

    /// Makes the code of a day's arrival questions, or returns the one that is there already.
    ///
    /// # Errors
    ///
    /// [`SiteError::File`] when the memory cannot be written.
    pub fn day_code(
        &self,
        day: DayId,
        now_ms: i64,
        secret: &[u8; 32],
    ) -> Result<String, SiteError> {
        let fresh = |d: &DayCode| now_ms - d.since_ms < CODE_LIFE_MS;
        if let Some(found) = self.file().days.iter().find(|d| fresh(d) && d.day == day) {
            return Ok(found.code.clone());
        }
        let made = DayCode {
            code: code_from(secret),
            day,
            since_ms: now_ms,
        };
        let code = made.code.clone();
        self.change(|file| {
            file.days.retain(fresh);
            file.days.push(made);
        })?;
        Ok(code)
    }

    /// Returns the day of a code, however it is written.
    pub fn day_of(&self, code: &str, now_ms: i64) -> Option<DayId> {
        let code = code.trim().to_ascii_uppercase();
        let file = self.file();
        let fresh = |d: &&DayCode| now_ms - d.since_ms < CODE_LIFE_MS;
        let found = file.days.iter().filter(fresh).find(|d| d.code == code);
        found.map(|d| d.day)
    }

    fn invitations(&self, now_ms: i64) -> Vec<Invitation> {
        let file = self.file();
        let fresh = |i: &&Invitation| now_ms - i.since_ms < CODE_LIFE_MS;
        file.invitations.iter().filter(fresh).cloned().collect()
    }
}

fn code_from(secret: &[u8; 32]) -> String {
    secret
        .iter()
        .take(CODE_LENGTH)
        .map(|byte| char::from(LETTERS[usize::from(*byte) % LETTERS.len()]))
        .collect()
}

/// Returns bytes as hexadecimal digits.
fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Writes a file for its owner alone, whole or not at all.
pub fn write_private(path: &Path, bytes: &[u8]) -> Result<(), SiteError> {
    let beside = path.with_extension("new");
    let failed = |what: &'static str, at: &Path| {
        let path = at.to_owned();
        move |source| SiteError::File { what, path, source }
    };
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    let mut file = options.open(&beside).map_err(failed("write", &beside))?;
    file.write_all(bytes).map_err(failed("write", &beside))?;
    file.sync_all().map_err(failed("write", &beside))?;
    drop(file);
    fs::rename(&beside, path).map_err(failed("replace", path))
}
