//! The square code of an address, for a phone's camera.

use maud::{Markup, PreEscaped, html};
use qrcode::QrCode;
use qrcode::render::svg;

/// Returns the square code of an address.
pub fn square(url: &str) -> Markup {
    let picture = QrCode::new(url.as_bytes()).map(|code| {
        code.render::<svg::Color<'_>>()
            .min_dimensions(180, 180)
            .dark_color(svg::Color("#1C1B19"))
            .light_color(svg::Color("#FFFFFF"))
            .build()
    });
    // The picture is made here, with nothing in it that anybody typed.
    let picture = picture.unwrap_or_default();
    let picture = picture.find("<svg").map_or("", |at| &picture[at..]);
    html! {
        div role="img" aria-label=(format!("Square code of {url}")) { (PreEscaped(picture)) }
    }
}
