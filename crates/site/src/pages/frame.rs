//! The frame of every page: head, bar, seal of forms, faults as pages.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};

use crate::auth::{CSRF_FIELD, Role, Who};
use crate::fault::Fault;

/// A refusal shown as a page.
pub struct Refused(pub Fault);

impl From<Fault> for Refused {
    fn from(fault: Fault) -> Self {
        Self(fault)
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        if self.0.status() == StatusCode::UNAUTHORIZED {
            return axum::response::Redirect::to("/enter").into_response();
        }
        let body = html! {
            h1 { "That cannot be done" }
            p.caution { strong { "Caution. " } (self.0.in_words()) }
            p { a href="/" { "Back to today" } }
        };
        (self.0.status(), bare("That cannot be done", &body)).into_response()
    }
}

/// Returns the hidden field that seals a form.
pub fn seal(who: &Who) -> Markup {
    html! { input type="hidden" name=(CSRF_FIELD) value=(who.seal); }
}

/// Returns a page for someone who is known.
pub fn page(who: &Who, title: &str, here: &str, body: &Markup) -> Markup {
    let links: &[(&str, &str)] = match who.role {
        Role::Lead => &[
            ("/", "Today"),
            ("/people", "People"),
            ("/library", "Definitions"),
            ("/archive", "Archive"),
        ],
        Role::Medic => &[("/", "Today")],
        Role::Assessor => &[],
    };
    whole(
        title,
        &html! {
            header {
                nav.bar aria-label="Pages" {
                    @for (to, name) in links {
                        @if *to == here {
                            a href=(to) aria-current="page" { (name) }
                        } @else {
                            a href=(to) { (name) }
                        }
                    }
                    button.switch.end type="button" data-light-switch { "dusk" }
                }
            }
            main.sheet { (body) }
            @if who.role != Role::Lead || !who.name.is_empty() {
                footer.sheet {
                    form method="post" action="/leave" {
                        (seal(who))
                        button.button-quiet type="submit" { "Leave" }
                    }
                }
            }
        },
    )
}

/// Returns a page for someone who is not.
pub fn bare(title: &str, body: &Markup) -> Markup {
    whole(title, &html! { main.sheet { (body) } })
}

fn whole(title: &str, inside: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Plimsoll" }
                link rel="icon" href="/assets/icons/mark.svg" type="image/svg+xml";
                link rel="stylesheet" href="/assets/style/base.css";
                link rel="stylesheet" href="/assets/style/parts.css";
                script type="module" src="/assets/shared/light.js" {}
                script type="module" src="/assets/shared/since.js" {}
            }
            body.page { (inside) }
        }
    }
}
