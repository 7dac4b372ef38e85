//! Certificates: the server's own authority and leaf, or files that are given.
//! Must keep private keys for their owner alone; the authority can sign for private addresses only.

use std::net::IpAddr;
use std::path::{Path, PathBuf};

use axum_server::tls_rustls::RustlsConfig;
use plimsoll_archive::sha256_hex;
use rcgen::{
    BasicConstraints, CertificateParams, CertifiedIssuer, CidrSubnet, DnType,
    ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose,
    NameConstraints, date_time_ymd,
};

use crate::auth::write_private;
use crate::fault::SiteError;

/// How the line is encrypted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TlsChoice {
    /// Not at all.
    Plain,
    /// With a certificate of the server's own authority.
    Own,
    /// With files that are given: certificate chain and key, PEM.
    Given {
        /// The certificate chain.
        cert: PathBuf,
        /// Its key.
        key: PathBuf,
    },
}

/// What is needed to encrypt.
pub struct Ready {
    /// For the server.
    pub config: RustlsConfig,
    /// Fingerprint of the authority to install on phones; nothing for given files.
    pub authority: Option<String>,
}

/// The year, month and day of an instant, ms since 1970.
fn date(ms: i64) -> (i32, u8, u8) {
    let at = jiff::Timestamp::from_millisecond(ms).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let date = at.to_zoned_datetime(jiff::tz::TimeZone::UTC).date();
    let small = |n: i8| u8::try_from(n).unwrap_or(1);
    (
        i32::from(date.year()),
        small(date.month()),
        small(date.day()),
    )
}

/// Makes ready what a choice asks for; nothing for plain.
///
/// # Errors
///
/// [`SiteError::Tls`] and [`SiteError::File`].
pub async fn ready(
    choice: &TlsChoice,
    folder: &Path,
    names: &[String],
    now_ms: i64,
) -> Result<Option<Ready>, SiteError> {
    // Fails only when it is installed already.
    let _ = rustls::crypto::ring::default_provider().install_default();
    match choice {
        TlsChoice::Plain => Ok(None),
        TlsChoice::Given { cert, key } => {
            let config = RustlsConfig::from_pem_file(cert, key)
                .await
                .map_err(|source| SiteError::File {
                    what: "use",
                    path: cert.clone(),
                    source,
                })?;
            Ok(Some(Ready {
                config,
                authority: None,
            }))
        }
        TlsChoice::Own => {
            let tls = |error: rcgen::Error| SiteError::Tls(error.to_string());
            let folder = folder.join("tls");
            let (authority, issuer) = authority(&folder, now_ms)?;
            let mut leaf = CertificateParams::new(covered(names)).map_err(tls)?;
            leaf.distinguished_name
                .push(DnType::CommonName, "Plimsoll on this network");
            leaf.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
            let (y, m, d) = date(now_ms - 86_400_000);
            leaf.not_before = date_time_ymd(y, m, d);
            let (y, m, d) = date(now_ms + 390 * 86_400_000);
            leaf.not_after = date_time_ymd(y, m, d);
            let key = KeyPair::generate().map_err(tls)?;
            let cert = leaf.signed_by(&key, &issuer).map_err(tls)?;
            let chain = format!("{}{authority}", cert.pem());
            let config = RustlsConfig::from_pem(chain.into(), key.serialize_pem().into())
                .await
                .map_err(|error| SiteError::Tls(error.to_string()))?;
            Ok(Some(Ready {
                config,
                authority: Some(sha256_hex(authority.as_bytes())),
            }))
        }
    }
}

/// Returns the names that the authority may sign for; one beyond its bounds would spoil all.
fn covered(names: &[String]) -> Vec<String> {
    let may = |name: &&String| match name.parse::<IpAddr>() {
        Ok(IpAddr::V4(ip)) => ip.is_private() || ip.is_loopback() || ip.is_link_local(),
        Ok(IpAddr::V6(_)) => false,
        Err(_) => name.ends_with(".local") || name.as_str() == "localhost",
    };
    names.iter().filter(may).cloned().collect()
}

/// Returns the authority's certificate and what signs with its key; made once and kept.
fn authority(folder: &Path, now_ms: i64) -> Result<(String, Issuer<'static, KeyPair>), SiteError> {
    let tls = |error: rcgen::Error| SiteError::Tls(error.to_string());
    let (cert_path, key_path) = (
        folder.join("authority.pem"),
        folder.join("authority-key.pem"),
    );
    if let (Ok(cert), Ok(key)) = (
        std::fs::read_to_string(&cert_path),
        std::fs::read_to_string(&key_path),
    ) {
        let key = KeyPair::from_pem(&key).map_err(tls)?;
        let issuer = Issuer::new(authority_params(now_ms)?, key);
        return Ok((cert, issuer));
    }
    std::fs::create_dir_all(folder).map_err(|source| SiteError::File {
        what: "make",
        path: folder.to_owned(),
        source,
    })?;
    let key = KeyPair::generate().map_err(tls)?;
    let pem = key.serialize_pem();
    let params = authority_params(now_ms)?;
    let made = CertifiedIssuer::self_signed(params.clone(), key).map_err(tls)?;
    let cert = made.pem();
    write_private(&key_path, pem.as_bytes())?;
    write_private(&cert_path, cert.as_bytes())?;
    let key = KeyPair::from_pem(&pem).map_err(tls)?;
    Ok((cert, Issuer::new(params, key)))
}

fn authority_params(now_ms: i64) -> Result<CertificateParams, SiteError> {
    let mut params = CertificateParams::default();
    params
        .distinguished_name
        .push(DnType::CommonName, "Plimsoll, this archive's own authority");
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let (y, m, d) = date(now_ms - 86_400_000);
    params.not_before = date_time_ymd(y, m, d);
    params.not_after = date_time_ymd(y + 5, m, d.min(28));
    // A stolen key signs for private addresses and local names, for nothing on the public net.
    let subnet = |a, b, c, d, bits| {
        let address = IpAddr::from([a, b, c, d]);
        GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(address, bits))
    };
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: vec![
            GeneralSubtree::DnsName("local".to_owned()),
            GeneralSubtree::DnsName("localhost".to_owned()),
            subnet(10, 0, 0, 0, 8),
            subnet(172, 16, 0, 0, 12),
            subnet(192, 168, 0, 0, 16),
            subnet(169, 254, 0, 0, 16),
            subnet(127, 0, 0, 0, 8),
        ],
        excluded_subtrees: Vec::new(),
    });
    Ok(params)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_beyond_the_authoritys_bounds_is_left_out() {
        let names = [
            "192.168.4.7",
            "203.0.113.9",
            "localhost",
            "plimsoll.local",
            "elsewhere.test",
        ]
        .map(str::to_owned);
        assert_eq!(
            covered(&names),
            ["192.168.4.7", "localhost", "plimsoll.local"]
        );
    }
}
