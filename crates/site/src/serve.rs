//! Listening: addresses, encryption, the end. Says where it can be reached through a callback.

use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum_server::accept::NoDelayAcceptor;
use axum_server::tls_rustls::RustlsAcceptor;
use axum_server::{Handle, Server};
use plimsoll_archive::Writer;
use plimsoll_interpret::Catalogue as Facts;
use plimsoll_ladder::Catalogue;

use crate::app::{App, SiteOptions, router};
use crate::auth::{Role, Store};
use crate::fault::SiteError;
use crate::tls::{self, TlsChoice};
use crate::world::Clock;

/// How the server is to listen.
#[derive(Debug, Clone)]
pub struct Listening {
    /// Address and port; port 0 takes a free one.
    pub address: SocketAddr,
    /// Encryption.
    pub tls: TlsChoice,
    /// A passphrase to set for the lead.
    pub passphrase: Option<String>,
    /// A passphrase to set for the medic.
    pub medic_passphrase: Option<String>,
    /// Whether simulated runners may be let loose.
    pub rehearse: bool,
}

/// Serves until `stop` is done; `tell` gets the addresses once it listens.
///
/// # Errors
///
/// [`SiteError`] when it cannot start.
pub async fn serve(
    writer: Writer,
    catalogue: Catalogue,
    facts: Facts,
    clock: Arc<dyn Clock>,
    listening: Listening,
    tell: impl FnOnce(&[String], Option<&str>),
    stop: impl Future<Output = ()> + Send + 'static,
) -> Result<(), SiteError> {
    let folder = writer.dir().to_owned();
    {
        let store = Store::open(&folder)?;
        for (role, given) in [
            (Role::Lead, &listening.passphrase),
            (Role::Medic, &listening.medic_passphrase),
        ] {
            if let Some(passphrase) = given {
                store.set_passphrase(role, passphrase, &clock.secret())?;
            }
        }
    }
    let socket =
        std::net::TcpListener::bind(listening.address).map_err(|source| SiteError::Listen {
            address: listening.address.to_string(),
            source,
        })?;
    let bound = socket.local_addr().map_err(|source| SiteError::Listen {
        address: listening.address.to_string(),
        source,
    })?;
    let beyond = !bound.ip().is_loopback();
    let addresses = own_addresses(bound.ip());
    let mut names: Vec<String> = addresses.iter().map(|ip| ip.to_string()).collect();
    names.push("localhost".to_owned());
    names.push("plimsoll.local".to_owned());
    let ready = tls::ready(&listening.tls, &folder, &names, clock.now_ms()).await?;
    let scheme = if ready.is_some() { "https" } else { "http" };
    let urls: Vec<String> = addresses
        .iter()
        .map(|ip| format!("{scheme}://{}", SocketAddr::new(*ip, bound.port())))
        .collect();
    // Phones reach the first address that is not this machine's own.
    let address = addresses
        .iter()
        .position(|ip| !ip.is_loopback())
        .map_or_else(|| urls[0].clone(), |at| urls[at].clone());
    let hosts = addresses
        .iter()
        .map(|ip| match ip {
            IpAddr::V4(ip) => ip.to_string(),
            IpAddr::V6(ip) => format!("[{ip}]"),
        })
        .chain(["plimsoll.local".to_owned()])
        .collect();
    let options = SiteOptions {
        beyond,
        hosts,
        address,
        secure: ready.is_some(),
        rehearse: listening.rehearse,
    };
    let service = router(App::new(writer, catalogue, facts, options, clock)?).into_make_service();
    tell(&urls, ready.as_ref().and_then(|r| r.authority.as_deref()));
    let handle = Handle::new();
    let ending = handle.clone();
    tokio::spawn(async move {
        stop.await;
        ending.graceful_shutdown(Some(Duration::from_secs(3)));
    });
    socket
        .set_nonblocking(true)
        .and_then(|()| match ready {
            Some(ready) => axum_server::from_tcp(socket).map(|server| {
                let acceptor = RustlsAcceptor::new(ready.config).acceptor(NoDelayAcceptor);
                Either::Tls(Box::new(server.acceptor(acceptor).handle(handle)))
            }),
            None => axum_server::from_tcp(socket).map(|server| {
                Either::Plain(Box::new(server.acceptor(NoDelayAcceptor).handle(handle)))
            }),
        })
        .map_err(|source| SiteError::Listen {
            address: bound.to_string(),
            source,
        })?
        .run(service)
        .await
        .map_err(|source| SiteError::Listen {
            address: bound.to_string(),
            source,
        })
}

/// Small messages must not wait for one another: a tap and its answer are small.
enum Either {
    Plain(Box<Server<SocketAddr, NoDelayAcceptor>>),
    Tls(Box<Server<SocketAddr, RustlsAcceptor<NoDelayAcceptor>>>),
}

impl Either {
    async fn run(
        self,
        service: axum::routing::IntoMakeService<axum::Router>,
    ) -> std::io::Result<()> {
        match self {
            Self::Plain(server) => server.serve(service).await,
            Self::Tls(server) => server.serve(service).await,
        }
    }
}

/// Returns the addresses under which a bound address can be reached.
fn own_addresses(bound: IpAddr) -> Vec<IpAddr> {
    if !bound.is_unspecified() {
        return vec![bound];
    }
    let mut found: Vec<IpAddr> = if_addrs::get_if_addrs()
        .unwrap_or_default()
        .into_iter()
        .map(|interface| interface.ip())
        .filter(|ip| ip.is_ipv4())
        .collect();
    found.sort_by_key(|ip| (ip.is_loopback(), *ip));
    if found.is_empty() {
        found.push(IpAddr::from([127, 0, 0, 1]));
    }
    found
}
