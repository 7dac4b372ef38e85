//! Whoever asks, taken from the cookie of a request.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};
use plimsoll_archive::{WaveId, sha256_hex};

use super::{Access, Role};
use crate::app::App;
use crate::fault::Fault;
use crate::pages::Refused;

/// The name of the cookie.
const COOKIE: &str = "plimsoll";
/// The field of a form that shows it was made by this server for this session.
pub const CSRF_FIELD: &str = "seal";

/// Whoever asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    /// The role.
    pub role: Role,
    /// The name given; empty when none is.
    pub name: String,
    /// A short name of the device, the key of its events' devices.
    pub device: String,
    /// The only wave it opens.
    pub wave: Option<WaveId>,
    /// The lanes watched; empty for all.
    pub lanes: Vec<u16>,
    /// What a form of this session must carry.
    pub seal: String,
}

impl Who {
    /// Returns an error unless this is the lead.
    pub fn must_lead(&self) -> Result<(), Fault> {
        if self.role == Role::Lead {
            return Ok(());
        }
        Err(Fault::forbidden(
            "this page",
            "a guest's device",
            "the lead",
        ))
    }

    /// Returns an error unless this is the lead or the medic.
    pub fn must_be_staff(&self) -> Result<(), Fault> {
        if matches!(self.role, Role::Lead | Role::Medic) {
            return Ok(());
        }
        Err(Fault::forbidden(
            "this page",
            "a guest's device",
            "the lead or the medic",
        ))
    }

    /// Returns an error unless this is the medic, or the lead of a server without passphrases.
    pub fn must_be_medic(&self, access: Access, medic_is_apart: bool) -> Result<(), Fault> {
        let alone = access == Access::Open && !medic_is_apart && self.role == Role::Lead;
        if self.role == Role::Medic || alone {
            return Ok(());
        }
        Err(Fault::forbidden(
            "the medic's page",
            "someone else",
            "the medic, with a passphrase of their own",
        ))
    }

    /// Returns an error unless this may see a wave.
    pub fn may_see(&self, wave: WaveId) -> Result<(), Fault> {
        if self.wave.is_none_or(|own| own == wave) {
            return Ok(());
        }
        Err(Fault::forbidden(
            "wave",
            "a device admitted to another wave",
            "the wave the device was admitted to",
        ))
    }
}

/// Returns the token in the cookies of a request.
pub fn token_in(headers: &HeaderMap) -> Option<String> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == COOKIE)
        .map(|(_, token)| token.to_owned())
}

/// Returns the cookie that carries a token; an empty token takes it back.
pub fn cookie(token: &str, secure: bool) -> String {
    let secure = if secure { "; Secure" } else { "" };
    let age = if token.is_empty() { 0 } else { 604_800 };
    format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age={age}{secure}")
}

impl Who {
    /// Returns whoever sent a request.
    ///
    /// # Errors
    ///
    /// [`Fault::unknown`] when nobody knows.
    pub fn of(headers: &HeaderMap, app: &App) -> Result<Self, Fault> {
        if let Some(token) = token_in(headers) {
            // A token that is no longer valid is nobody's, also where none is needed: a device that
            // was dropped does not become the lead.
            let known = app.store().known(&token, app.now_ms());
            let known = known.ok_or_else(Fault::unknown)?;
            return Ok(Self {
                role: known.role,
                name: known.name,
                device: known.device,
                wave: known.wave,
                lanes: known.lanes,
                seal: sha256_hex(format!("seal {token}").as_bytes()),
            });
        }
        if app.access() == Access::Open {
            return Ok(Self {
                role: Role::Lead,
                name: String::new(),
                device: "this-machine".to_owned(),
                wave: None,
                lanes: Vec::new(),
                seal: app.own_seal(),
            });
        }
        Err(Fault::unknown())
    }
}

impl FromRequestParts<App> for Who {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Response> {
        let for_program = parts.uri.path().starts_with("/api/");
        Self::of(&parts.headers, app).map_err(|fault| {
            if for_program {
                fault.into_response()
            } else {
                Refused(fault).into_response()
            }
        })
    }
}
