//! The fonts of the pages: bundled ones first, then the caller's.
//! Must not read the system's fonts; the caller passes their bytes.
//! Fonts: crates `notosans` and `dejavu`, and the files in `fonts/` (see its README).

use std::sync::OnceLock;

use typst::foundations::Bytes;
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;

/// Loaded fonts in the order in which they are tried.
pub struct FontSet {
    fonts: Vec<Font>,
    book: LazyHash<FontBook>,
    bundled: usize,
}

impl FontSet {
    /// Loads the bundled fonts and `extra` ones; the second part lists extra files left out.
    pub fn new(extra: &[Vec<u8>]) -> (Self, Vec<String>) {
        let mut fonts = bundled().to_vec();
        let bundled = fonts.len();
        let mut warnings = Vec::new();
        for (i, data) in (1..).zip(extra) {
            let faces: Vec<Font> = Font::iter(Bytes::new(data.clone())).collect();
            if faces.is_empty() {
                warnings.push(format!(
                    "extra font {i} ({} bytes) is not a TTF, OTF or TTC font and was not used",
                    data.len()
                ));
            }
            for face in faces {
                if may_embed(&face) {
                    fonts.push(face);
                } else {
                    warnings.push(format!(
                        "extra font {i}, `{}`, forbids embedding and was not used",
                        face.info().family
                    ));
                }
            }
        }
        let book = FontBook::from_fonts(&fonts);
        let set = Self {
            fonts,
            book: LazyHash::new(book),
            bundled,
        };
        (set, warnings)
    }

    /// Returns whether one font has glyphs for all of these letters.
    pub fn covers(&self, letters: &[char]) -> bool {
        let all = |font: &Font| {
            let coverage = &font.info().coverage;
            letters.iter().all(|c| coverage.contains(u32::from(*c)))
        };
        self.fonts.iter().any(all)
    }

    /// Returns the bundled families in the order in which they are tried, each with the letters
    /// that it claims.
    ///
    /// The claim matters: a font that has a mark but not the letter under it must not be tried
    /// for the two, or the engine loses the letter. The last family claims nothing, so that what
    /// nobody has is seen as missing and not dropped.
    pub fn families(&self) -> Vec<(String, Option<String>)> {
        let mut out: Vec<(String, Option<String>)> = Vec::new();
        for font in &self.fonts[..self.bundled] {
            let family = &font.info().family;
            if !out.iter().any(|(name, _)| name == family) {
                out.push((family.clone(), Some(claim(font))));
            }
        }
        if let Some((_, claim)) = out.last_mut() {
            *claim = None;
        }
        out
    }

    /// Returns the engine's index of the fonts.
    pub fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    /// Returns a font by its place.
    pub fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }
}

/// Symbols that text fonts have in part and the emoji font has with all their combinations.
const EMOJI_SYMBOLS: std::ops::RangeInclusive<u32> = 0x2600..=0x27BF;

/// Returns a font's letters as a character class of a regular expression.
fn claim(font: &Font) -> String {
    let emoji = font.info().family.contains("Emoji");
    let kept = |c: &u32| emoji || !EMOJI_SYMBOLS.contains(c);
    let mut class = String::from("[");
    let mut run: Option<(u32, u32)> = None;
    let mut close = |run: Option<(u32, u32)>| {
        if let Some((from, to)) = run {
            class.push_str(&format!("\\x{{{from:X}}}-\\x{{{to:X}}}"));
        }
    };
    for c in font.info().coverage.iter().filter(kept) {
        run = match run {
            Some((from, to)) if to + 1 == c => Some((from, c)),
            other => {
                close(other);
                Some((c, c))
            }
        };
    }
    close(run);
    class.push(']');
    class
}

fn may_embed(font: &Font) -> bool {
    let face = ttf_parser::Face::parse(font.data(), font.index());
    let permissions = face.ok().and_then(|face| face.permissions());
    permissions != Some(ttf_parser::Permissions::Restricted)
}

fn bundled() -> &'static [Font] {
    static FONTS: OnceLock<Vec<Font>> = OnceLock::new();
    FONTS.get_or_init(|| {
        let mut files: Vec<&'static [u8]> = vec![notosans::REGULAR_TTF, notosans::BOLD_TTF];
        #[cfg(feature = "world-fonts")]
        files.extend([
            include_bytes!("../../fonts/NotoEmoji-Regular-subset.ttf").as_slice(),
            include_bytes!("../../fonts/NotoSansDevanagari-Regular-subset.ttf"),
            include_bytes!("../../fonts/NotoSansCJKsc-Regular-subset.otf"),
        ]);
        files.extend([dejavu::sans::regular(), dejavu::sans::bold()]);
        files
            .into_iter()
            .flat_map(|file| Font::iter(Bytes::new(file)))
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bundled_fonts_cover_the_scripts_they_are_there_for() {
        let (fonts, warnings) = FontSet::new(&[]);
        assert!(warnings.is_empty());
        for c in "AñőžłệΩЖїمשԱა−…“”◆○".chars() {
            assert!(fonts.covers(&[c]), "{c}");
        }
        #[cfg(feature = "world-fonts")]
        for c in "अर्李明髙さサ김민⚽🏃😀".chars() {
            assert!(fonts.covers(&[c]), "{c}");
        }
        assert!(!fonts.covers(&['\u{12000}']), "cuneiform");
        assert!(
            !fonts.covers(&['\u{674E}', '\u{302}']),
            "Han with a Latin mark"
        );
        let families = fonts.families();
        assert_eq!(families[0].0, "Noto Sans");
        assert_eq!(families.last(), Some(&("DejaVu Sans".to_owned(), None)));
    }

    #[test]
    fn a_file_that_is_no_font_is_named() {
        let (_, warnings) = FontSet::new(&[b"not a font".to_vec()]);
        assert_eq!(
            warnings,
            ["extra font 1 (10 bytes) is not a TTF, OTF or TTC font and was not used"]
        );
    }
}
