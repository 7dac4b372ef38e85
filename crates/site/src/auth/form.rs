//! Forms that only this server can have made: fields with the seal of the session.

use std::collections::BTreeMap;
use std::ops::Deref;

use axum::body::Body;
use axum::extract::{FromRequest, Request};

use super::who::{CSRF_FIELD, Who};
use crate::app::App;
use crate::fault::Fault;
use crate::pages::Refused;

/// Bytes of the largest form: a plan of 60 runners.
const MAX_FORM: usize = 256 * 1024;

/// A form of a known session, its seal checked.
pub struct Guarded {
    /// Who sent it.
    pub who: Who,
    fields: Fields,
}

impl Deref for Guarded {
    type Target = Fields;

    fn deref(&self) -> &Fields {
        &self.fields
    }
}

/// The fields of a form.
pub struct Fields(BTreeMap<String, Vec<String>>);

impl Fields {
    /// Reads a form of at most so many bytes from whoever sent it.
    ///
    /// # Errors
    ///
    /// [`Fault`] when it is larger, or no text.
    pub async fn read(body: Body, most: usize) -> Result<Self, Fault> {
        let bytes = axum::body::to_bytes(body, most)
            .await
            .map_err(|_| Fault::too_large("form", most + 1, most))?;
        let text = std::str::from_utf8(&bytes)
            .map_err(|_| Fault::malformed("form", "bytes that are no text", "UTF-8"))?;
        Ok(Self(split(text)))
    }

    /// Returns a field, trimmed; nothing when it is empty or not there.
    pub fn text(&self, name: &str) -> Option<&str> {
        let value = self.0.get(name)?.last()?.trim();
        (!value.is_empty()).then_some(value)
    }

    /// Returns every value of a field.
    pub fn all(&self, name: &str) -> &[String] {
        self.0.get(name).map_or(&[], Vec::as_slice)
    }

    /// Returns a number, decimal comma or point.
    ///
    /// # Errors
    ///
    /// [`Fault`] when it is none or out of range.
    pub fn number(
        &self,
        name: &str,
        range: std::ops::RangeInclusive<f64>,
    ) -> Result<Option<f64>, Fault> {
        let Some(text) = self.text(name) else {
            return Ok(None);
        };
        let allowed = format!("a number from {} to {}", range.start(), range.end());
        text.replace(',', ".")
            .parse::<f64>()
            .ok()
            .filter(|x| range.contains(x))
            .map(Some)
            .ok_or_else(|| Fault::value(name, &format!("`{}`", cut(text)), &allowed))
    }

    /// Returns a yes or no; nothing when it is left open.
    pub fn yes(&self, name: &str) -> Option<bool> {
        match self.text(name) {
            Some("yes") => Some(true),
            Some("no") => Some(false),
            _ => None,
        }
    }

    /// Returns a text of bounded length.
    ///
    /// # Errors
    ///
    /// [`Fault`] when it is longer.
    pub fn short(&self, name: &str, most: usize) -> Result<Option<String>, Fault> {
        let Some(text) = self.text(name) else {
            return Ok(None);
        };
        let length = text.chars().count();
        if length > most
            || text
                .chars()
                .any(|c| c.is_control() && c != '\n' && c != '\r')
        {
            let allowed = format!("up to {most} characters of plain text");
            return Err(Fault::value(
                name,
                &format!("{length} characters"),
                &allowed,
            ));
        }
        Ok(Some(text.to_owned()))
    }
}

fn cut(text: &str) -> String {
    text.chars().take(40).collect()
}

/// Splits a form into its fields.
fn split(body: &str) -> BTreeMap<String, Vec<String>> {
    let mut fields: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for pair in body.split('&').filter(|pair| !pair.is_empty()) {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        fields
            .entry(decoded(name))
            .or_default()
            .push(decoded(value));
    }
    fields
}

/// Undoes the encoding of a form; what is not well formed stays as it is.
fn decoded(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let hex = bytes
            .get(at + 1..at + 3)
            .and_then(|pair| std::str::from_utf8(pair).ok())
            .and_then(|pair| u8::from_str_radix(pair, 16).ok());
        match (bytes[at], hex) {
            (b'+', _) => out.push(b' '),
            (b'%', Some(byte)) => {
                out.push(byte);
                at += 2;
            }
            (byte, _) => out.push(byte),
        }
        at += 1;
    }
    String::from_utf8_lossy(&out).into_owned()
}

impl FromRequest<App> for Guarded {
    type Rejection = Refused;

    async fn from_request(request: Request, app: &App) -> Result<Self, Refused> {
        let (parts, body) = request.into_parts();
        let who = Who::of(&parts.headers, app)?;
        let fields = Fields::read(body, MAX_FORM).await?;
        let seal = fields.text(CSRF_FIELD);
        if seal.is_none_or(|seal| seal != who.seal) {
            return Err(Fault::forbidden(
                "form",
                "one that was not made for this session",
                "a form of this server; open the page again",
            )
            .into());
        }
        Ok(Self { who, fields })
    }
}
