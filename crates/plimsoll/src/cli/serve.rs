//! The words of `plimsoll serve`.

use std::net::IpAddr;
use std::path::PathBuf;

use clap::Args;

/// `plimsoll serve`.
#[derive(Debug, Args)]
pub struct Serve {
    /// Port; 0 takes a free one.
    #[arg(long, value_name = "N", default_value_t = 8097)]
    pub port: u16,
    /// Address to listen on: 127.0.0.1 for this machine only, 0.0.0.0 for phones too.
    #[arg(long, value_name = "ADDR", default_value = "127.0.0.1")]
    pub listen: IpAddr,
    /// A file whose first line is the lead's passphrase, 10 characters or more.
    #[arg(long, value_name = "FILE")]
    pub passphrase_file: Option<PathBuf>,
    /// Make a new passphrase for the lead and print it.
    #[arg(long, conflicts_with = "passphrase_file")]
    pub new_passphrase: bool,
    /// A file whose first line is the medic's passphrase.
    #[arg(long, value_name = "FILE")]
    pub medic_passphrase_file: Option<PathBuf>,
    /// Encrypt, with a certificate of this archive's own authority.
    #[arg(long)]
    pub tls: bool,
    /// Encrypt, with this certificate chain (PEM).
    #[arg(long, value_name = "FILE", requires = "key", conflicts_with = "tls")]
    pub cert: Option<PathBuf>,
    /// Key of that certificate (PEM).
    #[arg(long, value_name = "FILE", requires = "cert")]
    pub key: Option<PathBuf>,
    /// Open a rehearsal: an invented squad in a wave of its own, in an archive that is thrown away.
    #[arg(long)]
    pub rehearse: bool,
}
