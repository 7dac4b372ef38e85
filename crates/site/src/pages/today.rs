//! Today: the days with their waves, and what is next.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;

use super::frame::{Refused, page as framed};
use crate::app::App;
use crate::auth::Who;

/// `GET /`.
pub async fn page(State(app): State<App>, who: Who) -> Result<Response, Refused> {
    if let Some(wave) = who.wave {
        return Ok(Redirect::to(&format!("/line/{wave}")).into_response());
    }
    let days = app
        .keeper()
        .with(|writer| {
            let mut days = Vec::new();
            for day in writer.days()?.into_iter().rev().take(20) {
                let waves = writer.waves(day.id)?;
                days.push((day, waves));
            }
            Ok(days)
        })
        .await?;
    let body = html! {
        h1 { "Today" }
        @for (day, waves) in &days {
            section {
                h2 { (day.facts.date) " " (day.facts.name.as_deref().unwrap_or("")) }
                @for wave in waves {
                    p { a href=(format!("/line/{}", wave.id)) { (wave.name) } }
                }
            }
        }
    };
    Ok(framed(&who, "Today", "/", &body).into_response())
}
