//! Readers of the written files: poppler's text, box and font lists. A missing tool is a failure.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use plimsoll_report::RenderedPdf;
use tempfile::TempDir;

/// A PDF on disk for as long as the test runs.
pub struct Printed {
    folder: TempDir,
}

/// A word and its box, points from the top left of its page.
#[derive(Debug, Clone)]
pub struct Word {
    pub page: usize,
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
    pub text: String,
}

impl Printed {
    /// Writes the file to a folder of its own.
    pub fn new(pdf: &RenderedPdf) -> Self {
        let folder = TempDir::new().expect("a temporary folder can be made");
        fs::write(folder.path().join("report.pdf"), &pdf.bytes).expect("the PDF can be written");
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("report.pdf")
    }

    /// Returns the text of one page, counted from 1, narrow spaces read as spaces.
    pub fn page(&self, page: usize) -> String {
        let n = page.to_string();
        self.text(&["-f", &n, "-l", &n])
    }

    /// Returns the text of all pages, narrow spaces read as spaces.
    pub fn all(&self) -> String {
        self.text(&[])
    }

    /// Returns the text of all pages in the order in which it stands in the file: cell by cell.
    pub fn in_file_order(&self) -> String {
        self.text(&["-raw"])
    }

    fn text(&self, options: &[&str]) -> String {
        let path = self.path();
        let path = path.to_str().expect("the path is text");
        let args: Vec<&str> = options.iter().copied().chain([path, "-"]).collect();
        run("pdftotext", &args).replace(['\u{202F}', '\u{A0}'], " ")
    }

    /// Returns a page as it is printed: width, height (dots) and greys (0 black), row by row.
    pub fn greys(&self, page: usize, dots_an_inch: u32) -> (usize, usize, Vec<u8>) {
        let stem = self.folder.path().join("page");
        let (n, dots) = (page.to_string(), dots_an_inch.to_string());
        let (from, to) = (self.path(), stem.to_str().expect("the path is text"));
        let from = from.to_str().expect("the path is text");
        run(
            "pdftoppm",
            &[
                "-gray",
                "-r",
                &dots,
                "-f",
                &n,
                "-l",
                &n,
                "-singlefile",
                from,
                to,
            ],
        );
        let file = fs::read(stem.with_extension("pgm")).expect("the picture was written");
        let head = String::from_utf8_lossy(&file[..file.len().min(40)]).into_owned();
        let mut parts = head.split_ascii_whitespace();
        assert_eq!(parts.next(), Some("P5"), "{head}");
        let mut number = || -> usize {
            let text = parts.next().expect("the head has three numbers");
            text.parse().expect("the head holds numbers")
        };
        let (wide, high, deepest) = (number(), number(), number());
        assert_eq!(deepest, 255);
        (wide, high, file[file.len() - wide * high..].to_vec())
    }

    /// Returns what `pdfinfo` says.
    pub fn info(&self) -> String {
        run(
            "pdfinfo",
            &[self.path().to_str().expect("the path is text")],
        )
    }

    /// Returns every word with its box and the size of the pages, points.
    pub fn words(&self) -> (Vec<Word>, (f64, f64)) {
        let path = self.path();
        let html = run(
            "pdftotext",
            &["-bbox", path.to_str().expect("the path is text"), "-"],
        );
        let (mut page, mut size, mut words) = (0, (0.0, 0.0), Vec::new());
        for line in html.lines().map(str::trim) {
            if line.starts_with("<page") {
                page += 1;
                size = (value(line, "width"), value(line, "height"));
            } else if line.starts_with("<word") {
                let text = line.split_once('>').map_or("", |(_, rest)| rest);
                words.push(Word {
                    page,
                    left: value(line, "xMin"),
                    top: value(line, "yMin"),
                    right: value(line, "xMax"),
                    bottom: value(line, "yMax"),
                    text: text.replace("</word>", ""),
                });
            }
        }
        (words, size)
    }
}

fn value(line: &str, name: &str) -> f64 {
    let start = line
        .split_once(&format!("{name}=\""))
        .expect("the attribute is there")
        .1;
    let text = start.split_once('"').expect("the attribute ends").0;
    text.parse().expect("the attribute is a number")
}

fn run(tool: &str, args: &[&str]) -> String {
    let output = Command::new(tool)
        .args(args)
        .output()
        .unwrap_or_else(|error| panic!("{tool} (Debian poppler-utils) must be installed: {error}"));
    assert!(output.status.success(), "{tool} {args:?}: {output:?}");
    String::from_utf8(output.stdout).expect("the tool writes UTF-8")
}
