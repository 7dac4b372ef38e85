//! The local web server of a test day: pages, live channel, API, one binary, no internet.
//! Must not decide about runners; it records events and shows what the fold makes of them.

mod app;
mod assets;
mod auth;
mod fault;
mod keeper;
mod live;
mod openapi;
mod pages;
mod serve;
mod sound;
mod tls;
mod waves;
mod world;

pub use app::{App, SiteOptions, router};
pub use auth::Role;
pub use fault::SiteError;
pub use serve::{Listening, serve};
pub use tls::TlsChoice;
pub use world::Clock;
