//! The pages of the day, made on the server; they work without script.

mod door;
mod frame;
mod today;

use axum::Router;
use axum::routing::{get, post};

use crate::app::App;

/// Returns the routes of the pages.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/", get(today::page))
        .route("/enter", get(door::enter_page).post(door::enter))
        .route("/leave", post(door::leave))
        .route("/join", get(door::join_page).post(door::join_code))
        .route("/join/{code}", get(door::join_page_of).post(door::join))
}
