//! The server's parts put together, and its routes.

use std::path::PathBuf;
use std::sync::Arc;

use axum::Router;
use axum::routing::{get, post};
use plimsoll_archive::{Writer, sha256_hex};
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;

use crate::auth::{self, Access, Hosts, Rates, Role, Store};
use crate::fault::SiteError;
use crate::keeper::Keeper;
use crate::waves::Waves;
use crate::world::Clock;
use crate::{assets, live, openapi, pages, sound};

/// Choices made when the server starts.
#[derive(Debug, Clone, Default)]
pub struct SiteOptions {
    /// Whether it can be reached from beyond this machine; then a passphrase is needed.
    pub beyond: bool,
    /// Names and addresses it goes by, beside this machine's own.
    pub hosts: Vec<String>,
    /// Where phones find it, as printed: `http://192.0.2.7:8080`.
    pub address: String,
    /// Whether the line is encrypted.
    pub secure: bool,
    /// A rehearsal: simulated runners may be let loose on a wave.
    pub rehearse: bool,
}

struct Parts {
    keeper: Keeper,
    waves: Waves,
    catalogue: Catalogue,
    facts: Facts,
    store: Store,
    rates: Rates,
    hosts: Hosts,
    options: SiteOptions,
    clock: Arc<dyn Clock>,
    folder: PathBuf,
    own_seal: String,
}

/// The server's parts, shared by all requests.
#[derive(Clone)]
pub struct App(Arc<Parts>);

impl App {
    /// Puts the parts together on an open archive.
    ///
    /// # Errors
    ///
    /// [`SiteError`] when the server's memory cannot be read, or a passphrase is missing.
    pub fn new(
        writer: Writer,
        catalogue: Catalogue,
        facts: Facts,
        options: SiteOptions,
        clock: Arc<dyn Clock>,
    ) -> Result<Self, SiteError> {
        let folder = writer.dir().to_owned();
        let store = Store::open(&folder)?;
        if options.beyond && !store.has_passphrase(Role::Lead) {
            return Err(SiteError::NoPassphrase);
        }
        let hosts = Hosts::new(options.hosts.iter().cloned());
        let own_seal = sha256_hex(&clock.secret());
        let (keeper, _thread) = Keeper::start(writer);
        Ok(Self(Arc::new(Parts {
            waves: Waves::default(),
            rates: Rates::default(),
            keeper,
            catalogue,
            facts,
            store,
            hosts,
            options,
            clock,
            folder,
            own_seal,
        })))
    }

    /// Returns the handle on the archive.
    pub(crate) fn keeper(&self) -> &Keeper {
        &self.0.keeper
    }

    /// Returns the waves in memory.
    pub(crate) fn waves(&self) -> &Waves {
        &self.0.waves
    }

    /// Returns the test definitions.
    pub(crate) fn catalogue(&self) -> &Catalogue {
        &self.0.catalogue
    }

    /// Returns the facts of the trade.
    pub(crate) fn facts(&self) -> &Facts {
        &self.0.facts
    }

    /// Returns the memory of devices.
    pub(crate) fn store(&self) -> &Store {
        &self.0.store
    }

    /// Returns the buckets of rates.
    pub(crate) fn rates(&self) -> &Rates {
        &self.0.rates
    }

    /// Returns the names the server goes by.
    pub(crate) fn hosts(&self) -> &Hosts {
        &self.0.hosts
    }

    /// Returns the choices made at the start.
    pub(crate) fn options(&self) -> &SiteOptions {
        &self.0.options
    }

    /// Returns the clock.
    pub(crate) fn clock(&self) -> &dyn Clock {
        self.0.clock.as_ref()
    }

    /// Returns the time, milliseconds since 1970-01-01 UTC.
    pub(crate) fn now_ms(&self) -> i64 {
        self.0.clock.now_ms()
    }

    /// Returns the folder of the archive.
    pub(crate) fn folder(&self) -> &std::path::Path {
        &self.0.folder
    }

    /// Returns the seal of forms where no session is needed.
    pub(crate) fn own_seal(&self) -> String {
        self.0.own_seal.clone()
    }

    /// Returns how the lead's pages are reached.
    pub(crate) fn access(&self) -> Access {
        if self.0.options.beyond || self.0.store.has_passphrase(Role::Lead) {
            Access::Passphrase
        } else {
            Access::Open
        }
    }
}

/// Returns every route of the server.
pub fn router(app: App) -> Router {
    let api = Router::new()
        .route("/api/openapi.json", get(openapi::document))
        .route("/api/clock", get(live::clock))
        .route("/api/waves/{wave}", get(live::view))
        .route("/api/waves/{wave}/wait", get(live::wait))
        .route("/api/waves/{wave}/watch", get(live::watch))
        .route("/api/waves/{wave}/live", get(live::socket))
        .route("/api/waves/{wave}/events", post(live::record))
        .route("/api/waves/{wave}/timeline", get(live::timeline))
        .route("/api/waves/{wave}/sound", get(sound::manifest))
        .route("/api/waves/{wave}/sound/{piece}", get(sound::piece))
        .fallback(live::no_route);
    Router::new()
        .merge(pages::routes())
        .route("/line/{wave}", get(assets::line_screen))
        .route("/assets/{*path}", get(assets::asset))
        .merge(api)
        .layer(axum::middleware::from_fn_with_state(
            app.clone(),
            auth::guard,
        ))
        .with_state(app)
}
