//! The layout engine behind one seam: templates and data in, pages out.
//! Must not open a file, a socket or a clock: everything it reads is handed in or compiled in.
//! The one place that knows the engine's API; it is pinned, since each 0.x release changes it.

use jiff::civil::DateTime;
use serde_json::Value;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use super::fonts::FontSet;
use crate::ReportError;

/// Main template of a day's report.
pub const REPORT: &str = "report.typ";
/// Main template of a day's sheets.
pub const SHEETS: &str = "sheets.typ";
/// Main template of the group card.
pub const TRAINING: &str = "training.typ";
const DATA: &str = "data.json";
const TEMPLATES: [(&str, &str); 10] = [
    (REPORT, include_str!("../../templates/report.typ")),
    (SHEETS, include_str!("../../templates/sheets.typ")),
    (TRAINING, include_str!("../../templates/training.typ")),
    ("hand.typ", include_str!("../../templates/hand.typ")),
    ("line.typ", include_str!("../../templates/line.typ")),
    ("paper.typ", include_str!("../../templates/paper.typ")),
    ("talk.typ", include_str!("../../templates/talk.typ")),
    ("look.typ", include_str!("../../templates/look.typ")),
    ("coach.typ", include_str!("../../templates/coach.typ")),
    ("cards.typ", include_str!("../../templates/cards.typ")),
];
/// Rounds after which the engine's memory of earlier reports is dropped.
const REMEMBER: usize = 4;

struct Job<'a> {
    library: LazyHash<Library>,
    fonts: &'a FontSet,
    main: FileId,
    sources: Vec<(FileId, Source)>,
    data: (FileId, Bytes),
    today: DateTime,
}

impl World for Job<'_> {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        self.fonts.book()
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let found = self.sources.iter().find(|(known, _)| *known == id);
        found
            .map(|(_, source)| source.clone())
            .ok_or_else(|| not_found(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 {
            Ok(self.data.1.clone())
        } else {
            Err(not_found(id))
        }
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.font(index)
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        let date = self.today.date();
        let (month, day) = (
            u8::try_from(date.month()).ok()?,
            u8::try_from(date.day()).ok()?,
        );
        Datetime::from_ymd(i32::from(date.year()), month, day)
    }
}

fn not_found(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().get_without_slash().into())
}

fn file_id(name: &str) -> Result<FileId, ReportError> {
    let path = VirtualPath::new(name).map_err(|error| ReportError::Layout {
        details: format!("template name `{name}`: {error}"),
    })?;
    Ok(RootedPath::new(VirtualRoot::Project, path).intern())
}

/// Pages that are laid out and not yet written.
pub struct Pages {
    document: PagedDocument,
    created: DateTime,
}

/// A written file.
pub struct Written {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its pages.
    pub pages: usize,
    /// Whether it conforms to the standards.
    pub conforms: bool,
    /// Why not, for the user.
    pub warning: Option<String>,
}

/// Lays the pages out that the template `main` makes of `data`.
pub fn lay_out(
    main: &str,
    fonts: &FontSet,
    data: &Value,
    created: DateTime,
) -> Result<Pages, ReportError> {
    let mut sources = Vec::new();
    for (name, text) in TEMPLATES {
        let id = file_id(name)?;
        sources.push((id, Source::new(id, text.to_owned())));
    }
    let job = Job {
        library: LazyHash::new(Library::default()),
        fonts,
        main: file_id(main)?,
        sources,
        data: (file_id(DATA)?, Bytes::new(data.to_string().into_bytes())),
        today: created,
    };
    let result = typst::compile::<PagedDocument>(&job).output;
    typst::comemo::evict(REMEMBER);
    let document = result.map_err(|errors| ReportError::Layout {
        details: words(&errors),
    })?;
    Ok(Pages { document, created })
}

impl Pages {
    /// Writes the file, with the standards if they can be kept, else without and with a warning.
    pub fn write(&self) -> Result<Written, ReportError> {
        let pages = self.document.pages().len();
        let strict = PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1])
            .map_err(|error| error.message().to_string())
            .and_then(|standards| self.export(standards));
        let (bytes, conforms, warning) = match strict {
            Ok(bytes) => (bytes, true, None),
            Err(why) => {
                let plain = self.export(PdfStandards::default());
                let bytes = plain.map_err(|details| ReportError::Export { details })?;
                let warning = format!(
                    "the file could not be made to conform to PDF/A-2a and PDF/UA-1 and was \
                     written without them: {why}"
                );
                (bytes, false, Some(warning))
            }
        };
        Ok(Written {
            bytes,
            pages,
            conforms,
            warning,
        })
    }

    fn export(&self, standards: PdfStandards) -> Result<Vec<u8>, String> {
        let options = PdfOptions {
            ident: Smart::Auto,
            creator: Smart::Custom(Some("Plimsoll".to_owned())),
            timestamp: timestamp(self.created),
            standards,
            ..PdfOptions::default()
        };
        typst_pdf::pdf(&self.document, &options).map_err(|errors| words(&errors))
    }
}

fn timestamp(at: DateTime) -> Option<Timestamp> {
    let part = |value: i8| u8::try_from(value).ok();
    let datetime = Datetime::from_ymd_hms(
        i32::from(at.year()),
        part(at.month())?,
        part(at.day())?,
        part(at.hour())?,
        part(at.minute())?,
        part(at.second())?,
    )?;
    Some(Timestamp::new_utc(datetime))
}

fn words(errors: &[SourceDiagnostic]) -> String {
    let messages: Vec<&str> = errors.iter().map(|error| error.message.as_str()).collect();
    messages.join("; ")
}

#[cfg(all(test, feature = "world-fonts"))]
pub use inspect::lay_out_title;

#[cfg(all(test, feature = "world-fonts"))]
mod inspect {
    //! What the tests look at: which font drew which letters.

    use typst::layout::{Frame, FrameItem};

    use super::*;

    /// Lays out a single page that holds only the title, in the fonts of the pages.
    pub fn lay_out_title(
        fonts: &FontSet,
        data: &Value,
        created: DateTime,
    ) -> Result<Pages, ReportError> {
        let mut data = data.clone();
        data["replaced"] = serde_json::json!([{ "place": data["title"], "codes": "" }]);
        data["cards"] = serde_json::json!([{
            "name": data["title"], "sub": "", "result": "", "changes": [], "first": "",
            "history": null, "next": "", "flags": [], "estimates": [], "how": "",
        }]);
        lay_out(REPORT, fonts, &data, created)
    }

    impl Pages {
        /// Returns every drawn cluster with the family of its font.
        pub fn drawn(&self) -> Vec<(String, String)> {
            let mut out = Vec::new();
            for page in self.document.pages() {
                collect(&page.frame, &mut out);
            }
            out
        }
    }

    fn collect(frame: &Frame, out: &mut Vec<(String, String)>) {
        for (_, item) in frame.items() {
            match item {
                FrameItem::Group(group) => collect(&group.frame, out),
                FrameItem::Text(text) => out.extend(text.glyphs.iter().filter_map(|glyph| {
                    let letters = text.text.get(glyph.range())?.to_owned();
                    let drawn = if glyph.id == 0 {
                        "nothing"
                    } else {
                        &text.font.info().family
                    };
                    Some((letters, drawn.to_owned()))
                })),
                _ => {}
            }
        }
    }
}
