//! The pages of the day, made on the server; they work without script.

mod after;
mod arrival;
mod change;
mod checks;
mod choose;
mod close;
mod door;
mod frame;
mod here;
mod lists;
mod medic;
mod mixed;
mod paper;
mod person;
mod person_change;
mod plan;
mod questions;
mod reference;
mod rehearsal;
mod results;
mod square;
mod study;
mod today;
mod train;
mod typed;
mod wave;

pub use frame::Refused;

use axum::Router;
use axum::routing::{get, post};

use crate::app::App;

/// Returns the routes of the pages.
pub fn routes() -> Router<App> {
    Router::new()
        .route("/", get(today::page))
        .route("/days", post(today::make))
        .route("/enter", get(door::enter_page).post(door::enter))
        .route("/leave", post(door::leave))
        .route("/join", get(door::join_page).post(door::join_code))
        .route("/join/{code}", get(door::join_page_of).post(door::join))
        .route("/here/{code}", get(here::page).post(here::keep))
        .route("/people", get(lists::people).post(lists::add))
        .route("/person/{person}", get(person::page))
        .route("/person/{person}/change", get(person_change::page))
        .route("/change", get(change::page))
        .route("/choose", get(choose::page))
        .route("/library", get(lists::library))
        .route("/library/{test}", get(lists::definition))
        .route("/archive", get(lists::archive))
        .route("/plan/{day}", get(plan::page))
        .route("/plan/{day}/deal", post(plan::deal_again))
        .route("/plan/{day}/change", post(plan::change))
        .route("/plan/{day}/open", post(plan::open))
        .route("/briefing/{day}", get(paper::briefing))
        .route("/sheets/{day}", get(paper::sheets))
        .route("/wave/{wave}", get(wave::page))
        .route("/wave/{wave}/drop", post(wave::drop_device))
        .route("/wave/{wave}/rehearse", post(rehearsal::start))
        .route("/rehearsal/{wave}", get(rehearsal::page))
        .route("/typed/{wave}", get(typed::page).post(typed::record))
        .route("/wave/{wave}/warm-up", post(after::warm_up))
        .route("/after/{wave}", get(after::page).post(after::keep))
        .route("/close/{wave}", get(close::page).post(close::close))
        .route("/close/{wave}/correct", post(close::put_right))
        .route("/close/{wave}/again", post(close::again))
        .route("/checks/{day}", get(checks::page))
        .route("/checks/{day}/course", post(checks::taped))
        .route("/checks/{day}/conditions", post(checks::conditions))
        .route("/checks/{day}/decision", post(checks::decide))
        .route("/checks/{day}/emergency", post(checks::emergency))
        .route("/medic/{day}", get(medic::page).post(medic::set))
        .route("/arrival/{day}", get(arrival::page).post(arrival::keep))
        .route("/results/{day}", get(results::page))
        .route("/questions/{day}", get(questions::page))
        .route("/study", get(study::page))
        .route("/mixed", get(mixed::page))
        .route("/reference", get(reference::page))
        .route("/reference/{id}", get(reference::one))
        .route("/train/{day}", get(train::page))
}
