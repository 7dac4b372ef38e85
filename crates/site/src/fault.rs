//! Every way in which the server says no: to a program as JSON, to a person as a page.
//! Must not show a health answer, a secret or a path of the machine.

use axum::Json;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use plimsoll_archive::ArchiveError;
use serde_json::json;

/// A refusal to a request.
#[derive(Debug)]
pub struct Fault {
    status: StatusCode,
    place: String,
    found: String,
    allowed: String,
    next: String,
    retry_after_s: Option<u32>,
}

impl Fault {
    fn new(status: StatusCode, place: &str, found: &str, allowed: &str, next: &str) -> Self {
        Self {
            status,
            place: place.to_owned(),
            found: found.to_owned(),
            allowed: allowed.to_owned(),
            next: next.to_owned(),
            retry_after_s: None,
        }
    }

    /// The request is not well formed.
    pub fn malformed(place: &str, found: &str, allowed: &str) -> Self {
        let next = "correct the request and send it again; nothing was recorded";
        Self::new(StatusCode::BAD_REQUEST, place, found, allowed, next)
    }

    /// A value is out of range.
    pub fn value(place: &str, found: &str, allowed: &str) -> Self {
        let next = "correct the value and send it again; nothing was recorded";
        Self::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            place,
            found,
            allowed,
            next,
        )
    }

    /// Nobody knows who asks.
    pub fn unknown() -> Self {
        Self::new(
            StatusCode::UNAUTHORIZED,
            "cookie `plimsoll`",
            "none, or one that is no longer valid",
            "a session of the lead or the medic, or a device admitted to a wave",
            "enter the passphrase at /enter, or join with the code the lead shows",
        )
    }

    /// Whoever asks may not.
    pub fn forbidden(place: &str, found: &str, allowed: &str) -> Self {
        let next = "ask the lead";
        Self::new(StatusCode::FORBIDDEN, place, found, allowed, next)
    }

    /// There is no such thing.
    pub fn missing(what: &str, found: &str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            what,
            found,
            "one that is there",
            "go back to the page of today and follow a link from there",
        )
    }

    /// It is too large.
    pub fn too_large(place: &str, found: usize, allowed: usize) -> Self {
        Self::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            place,
            &format!("{found} bytes or more"),
            &format!("at most {allowed} bytes"),
            "send it in smaller parts",
        )
    }

    /// It comes too fast.
    pub fn too_fast(retry_after_s: u32) -> Self {
        Self {
            retry_after_s: Some(retry_after_s),
            ..Self::new(
                StatusCode::TOO_MANY_REQUESTS,
                "rate of requests",
                "too many in a short time",
                "fewer",
                &format!("wait {retry_after_s} s and try again"),
            )
        }
    }

    /// It cannot be done as things stand.
    pub fn conflict(place: &str, found: &str, allowed: &str, next: &str) -> Self {
        Self::new(StatusCode::CONFLICT, place, found, allowed, next)
    }

    /// A bug of ours, or a disk that fails. The words go to the server's log, not to the page.
    pub fn internal() -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "server",
            "a fault of its own",
            "none",
            "try again; if it stays, look at what the server printed. What was acknowledged is kept",
        )
    }

    /// Returns the status.
    pub const fn status(&self) -> StatusCode {
        self.status
    }

    /// Returns the sentence for a page.
    pub fn in_words(&self) -> String {
        format!(
            "{}: found {}; allowed: {}. What to do: {}.",
            self.place, self.found, self.allowed, self.next
        )
    }
}

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let document = json!({ "error": {
            "where": self.place, "found": self.found, "allowed": self.allowed, "next": self.next,
        }});
        let mut response = (self.status, Json(document)).into_response();
        if let Some(seconds) = self.retry_after_s {
            response
                .headers_mut()
                .insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response
    }
}

impl From<ArchiveError> for Fault {
    fn from(error: ArchiveError) -> Self {
        match &error {
            ArchiveError::NotFound { what, found, .. } => Self::missing(what, found),
            ArchiveError::Value {
                column,
                found,
                allowed,
                ..
            } => Self::value(column, found, allowed),
            _ => Self::internal(),
        }
    }
}

/// Why the server could not start or go on.
#[derive(Debug, thiserror::Error)]
pub enum SiteError {
    /// The archive cannot be used.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// The address cannot be listened on.
    #[error("cannot listen on {address}: {source}; choose another --port, or stop what uses it")]
    Listen {
        /// The address.
        address: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file of the server's own cannot be read or written.
    #[error("cannot {what} `{}`: {source}", path.display())]
    File {
        /// What was tried.
        what: &'static str,
        /// The file.
        path: std::path::PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file of the server's own holds something else.
    #[error("`{}` cannot be read: {why}; move it away, and every device has to join again", path.display())]
    Damaged {
        /// The file.
        path: std::path::PathBuf,
        /// What the reader complained of.
        why: String,
    },
    /// A certificate cannot be made or read.
    #[error("certificate: {0}")]
    Tls(String),
    /// A passphrase is needed.
    #[error(
        "beyond this machine the lead's page needs a passphrase, and none is set; give one with \
         --passphrase-file FILE, or let one be made with --new-passphrase"
    )]
    NoPassphrase,
    /// A passphrase is too short.
    #[error("the passphrase has {found} characters; allowed is 10 or more")]
    ShortPassphrase {
        /// Characters found.
        found: usize,
    },
}
