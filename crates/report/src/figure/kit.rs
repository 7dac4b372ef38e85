//! The drawing pen: colours, text and lines on an SVG of a given size.
//! Must not know athletes; user text enters only as text nodes, which the builder escapes.

use svg::node::element::{Circle, Description, Element, Line, Path, Rectangle, Title};
use svg::{Document, Node};

use super::Figure;

/// Font families named in every figure; the PDF carries the first two.
pub const FONT_FAMILIES: &str = "Noto Sans, DejaVu Sans, sans-serif";
/// Ink for everything that is data.
pub const INK: &str = "#1C1B19";
/// The one accent: "now" and "decided", always repeated by a shape.
pub const CLAY: &str = "#B4532A";
/// Secondary text and axes.
pub const SLATE: &str = "#3F5566";
/// Hairlines.
pub const RULE: &str = "#CFC7B6";
/// Ground of the band that does not matter.
pub const BAND: &str = "#EDE6D8";
/// Inside of open marks.
pub const PAPER: &str = "#FFFFFF";

/// Where a text hangs on its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The text begins at the point.
    Start,
    /// The point is the text's middle.
    Middle,
    /// The text ends at the point.
    End,
}

/// A figure in the making.
#[derive(Default)]
pub struct Pen {
    nodes: Vec<Drawn>,
}

enum Drawn {
    Shape(Box<dyn Node>),
    Text(Label),
}

/// A text in a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where the text hangs, on its baseline, px.
    pub at: (f64, f64),
    /// Height of the letters, px.
    pub size: f64,
    /// Which part of the text hangs there.
    pub anchor: Anchor,
    /// Colour as in SVG.
    pub colour: &'static str,
    /// The text.
    pub text: String,
}

impl Pen {
    /// Returns an empty figure.
    pub fn new() -> Self {
        Self::default()
    }

    /// Draws a line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), colour: &str, width: f64) {
        self.dashed(from, to, colour, width, "");
    }

    /// Draws a line with a dash pattern.
    pub fn dashed(
        &mut self,
        from: (f64, f64),
        to: (f64, f64),
        colour: &str,
        width: f64,
        dashes: &str,
    ) {
        let mut line = Line::new()
            .set("x1", round(from.0))
            .set("y1", round(from.1))
            .set("x2", round(to.0))
            .set("y2", round(to.1))
            .set("stroke", colour)
            .set("stroke-width", round(width));
        if !dashes.is_empty() {
            line = line.set("stroke-dasharray", dashes);
        }
        self.add(line);
    }

    /// Draws a filled rectangle.
    pub fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, fill: &str) {
        self.add(
            Rectangle::new()
                .set("x", round(x))
                .set("y", round(y))
                .set("width", round(width))
                .set("height", round(height))
                .set("fill", fill),
        );
    }

    /// Draws a closed or open path with a class that names its meaning.
    pub fn path(&mut self, class: &str, d: &str, fill: &str, stroke: &str, width: f64) {
        self.add(
            Path::new()
                .set("class", class)
                .set("d", d)
                .set("fill", fill)
                .set("stroke", stroke)
                .set("stroke-width", round(width))
                .set("stroke-linejoin", "miter"),
        );
    }

    /// Draws a circle with a class that names its meaning.
    pub fn circle(&mut self, class: &str, at: (f64, f64), r: f64, fill: &str, width: f64) {
        self.add(
            Circle::new()
                .set("class", class)
                .set("cx", round(at.0))
                .set("cy", round(at.1))
                .set("r", round(r))
                .set("fill", fill)
                .set("stroke", INK)
                .set("stroke-width", round(width)),
        );
    }

    /// Writes a text.
    pub fn text(
        &mut self,
        at: (f64, f64),
        size: f64,
        anchor: Anchor,
        colour: &'static str,
        text: &str,
    ) {
        let text = text.to_owned();
        self.nodes.push(Drawn::Text(Label {
            at,
            size,
            anchor,
            colour,
            text,
        }));
    }

    /// Returns the finished figure with its title and description.
    pub fn finish(self, width: f64, height: f64, title: &str, alt: String) -> Figure {
        let empty = Document::new()
            .set("role", "img")
            .set("font-family", FONT_FAMILIES)
            .set("viewBox", format!("0 0 {} {}", round(width), round(height)))
            .add(Title::new(xml_text(title)))
            .add(Description::new().add(text_node(&alt)));
        let (mut full, mut bare, mut labels) = (empty.clone(), empty, Vec::new());
        for node in self.nodes {
            match node {
                Drawn::Shape(shape) => {
                    full = full.add(shape.clone());
                    bare = bare.add(shape);
                }
                Drawn::Text(label) => {
                    full = full.add(element(&label));
                    labels.push(label);
                }
            }
        }
        Figure {
            svg: full.to_string(),
            alt,
            width,
            height,
            bare: bare.to_string(),
            labels,
        }
    }

    fn add(&mut self, node: impl Node) {
        self.nodes.push(Drawn::Shape(Box::new(node)));
    }
}

/// Returns the text as an element; what XML cannot hold becomes U+FFFD.
fn element(label: &Label) -> Element {
    let mut element = Element::new("text");
    element.assign("x", round(label.at.0));
    element.assign("y", round(label.at.1));
    element.assign("font-size", round(label.size));
    element.assign("fill", label.colour);
    match label.anchor {
        Anchor::Start => {}
        Anchor::Middle => element.assign("text-anchor", "middle"),
        Anchor::End => element.assign("text-anchor", "end"),
    }
    element.append(text_node(&label.text));
    element
}

fn text_node(text: &str) -> svg::node::Text {
    svg::node::Text::new(xml_text(text))
}

/// Returns the number with at most two decimals, so that figures stay short and stable.
pub fn round(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Returns the text with every character that XML 1.0 forbids replaced by U+FFFD.
fn xml_text(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => ' ',
            '\u{0}'..='\u{1F}' | '\u{FFFE}' | '\u{FFFF}' => '\u{FFFD}',
            c => c,
        })
        .collect()
}
