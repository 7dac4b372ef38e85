//! How wide a text will be, near enough to lay out a figure without a shaping engine.
//! Must not be used for line breaking in pages; the layout engine does that exactly.
//! Widths come from the bundled Noto Sans; letters it lacks are estimated by script.

use std::sync::OnceLock;

use ttf_parser::Face;

/// Width of a letter that Noto Sans lacks and that is not a wide one, em.
const OTHER_EM: f64 = 0.68;

fn face() -> Option<&'static Face<'static>> {
    static FACE: OnceLock<Option<Face<'static>>> = OnceLock::new();
    FACE.get_or_init(|| Face::parse(notosans::REGULAR_TTF, 0).ok())
        .as_ref()
}

/// Returns the width of `text` at `size` px, px.
pub fn width(text: &str, size: f64) -> f64 {
    text.chars().map(em).sum::<f64>() * size
}

fn em(c: char) -> f64 {
    if joins_previous(c) {
        return 0.0;
    }
    let known = face().and_then(|face| {
        let advance = face.glyph_hor_advance(face.glyph_index(c)?)?;
        Some(f64::from(advance) / f64::from(face.units_per_em()))
    });
    known.unwrap_or(if is_wide(c) { 1.0 } else { OTHER_EM })
}

/// Returns whether a character belongs to the one before it, so that no line may start with it.
fn joins_previous(c: char) -> bool {
    matches!(c,
        '\u{0300}'..='\u{036F}' | '\u{0483}'..='\u{0489}' | '\u{0591}'..='\u{05C7}'
        | '\u{064B}'..='\u{065F}' | '\u{0900}'..='\u{0902}' | '\u{093C}'
        | '\u{0941}'..='\u{0948}' | '\u{094D}' | '\u{1AB0}'..='\u{1AFF}'
        | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}'
        | '\u{20D0}'..='\u{20FF}' | '\u{FE00}'..='\u{FE0F}' | '\u{1F3FB}'..='\u{1F3FF}'
        | '\u{E0000}'..='\u{E01EF}')
}

fn is_wide(c: char) -> bool {
    matches!(c,
        '\u{1100}'..='\u{115F}' | '\u{2E80}'..='\u{A4CF}' | '\u{AC00}'..='\u{D7A3}'
        | '\u{F900}'..='\u{FAFF}' | '\u{FE30}'..='\u{FE4F}' | '\u{FF00}'..='\u{FF60}'
        | '\u{FFE0}'..='\u{FFE6}' | '\u{1F000}'..='\u{1FAFF}' | '\u{20000}'..='\u{3FFFF}')
}

/// Returns `text` on at most `lines` lines of `max` px; what does not fit ends in "…".
pub fn wrap(text: &str, size: f64, max: f64, lines: usize) -> Vec<String> {
    let mut out: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        for piece in pieces(word, size, max) {
            let line = out.last_mut().expect("out starts with one line");
            let joined = if line.is_empty() {
                piece.clone()
            } else {
                format!("{line} {piece}")
            };
            if width(&joined, size) <= max {
                *line = joined;
            } else {
                out.push(piece);
            }
        }
    }
    if out.len() > lines {
        out.truncate(lines.max(1));
        let last = out.last_mut().expect("at least one line is kept");
        while !last.is_empty() && width(last, size) + width("…", size) > max {
            last.pop();
        }
        while last.chars().next_back().is_some_and(joins_previous) {
            last.pop();
        }
        last.push('…');
    }
    out
}

/// Cuts a word that is wider than a line, after a hyphen or a bracket where it has one; marks and
/// joiners stay with their letter.
fn pieces(word: &str, size: f64, max: f64) -> Vec<String> {
    let mut out = vec![String::new()];
    for c in word.chars() {
        let piece = out.last_mut().expect("out starts with one piece");
        let full = width(piece, size) + em(c) * size > max;
        if full && !piece.is_empty() && !joins_previous(c) && !piece.ends_with('\u{200D}') {
            let cut = piece.rfind(['-', ']']).map_or(piece.len(), |i| i + 1);
            let mut rest = piece.split_off(cut);
            rest.push(c);
            out.push(rest);
        } else {
            piece.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_follow_the_font_and_the_script() {
        assert!(width("iiii", 10.0) < width("WWWW", 10.0));
        assert!((width("李", 12.0) - 12.0).abs() < 1e-9);
        assert!((width("e\u{301}", 12.0) - width("e", 12.0)).abs() < 1e-9);
    }

    #[test]
    fn long_names_wrap_and_very_long_ones_say_so() {
        let name = "Wilhelmina Featherstonehaugh of the Upper Long Meadow Lane";
        let lines = wrap(name, 9.5, 200.0, 2);
        assert_eq!(lines.join(" "), name);
        assert!(lines.iter().all(|l| width(l, 9.5) <= 200.0));
        let cut = wrap(&name.repeat(4), 9.5, 200.0, 2);
        assert_eq!(cut.len(), 2);
        assert!(cut[1].ends_with('…') && width(&cut[1], 9.5) <= 200.0);
        let solid = wrap(&"w".repeat(60), 9.5, 200.0, 3);
        assert!(solid.iter().all(|l| width(l, 9.5) <= 200.0));
    }
}
