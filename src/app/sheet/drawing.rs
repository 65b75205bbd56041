//! Lines and words as SVG, black on white.

use std::fmt::Write as _;
use std::sync::Arc;

/// A length on paper, in CSS pixels (96 to the inch).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Pixels(pub f64);

/// A picture as a file of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// How wide it is.
    pub width: Pixels,
    /// How high it is.
    pub height: Pixels,
    parts: Vec<Part>,
}

/// What a picture is made of.
#[derive(Debug, Clone, PartialEq)]
struct Part {
    /// Where it stands in the picture.
    at: (f64, f64),
    /// Shared between all who have it: it is long.
    marks: Arc<str>,
}

/// The most that the frame of a picture and that of each part take, in bytes.
const FRAME: usize = 400;
/// Between pictures that stand beside or below one another.
const GAP: f64 = 16.0;
/// The type: of one width, so that the columns of a tab stand where they belong.
const TYPE: &str = "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace";

impl Picture {
    /// As an SVG file.
    #[must_use]
    pub fn svg(&self) -> String {
        let (width, height) = (self.width.0, self.height.0);
        // All the room at once: a text that grows takes up twice as much.
        let long: usize = self.parts.iter().map(|part| part.marks.len() + FRAME).sum();
        let mut svg = String::with_capacity(long + FRAME);
        // Writing to a text never fails.
        let _ = write!(
            svg,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
             viewBox=\"0 0 {width:.0} {height:.0}\" font-family=\"{TYPE}\" font-size=\"14\">\
             <rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>"
        );
        for Part { at: (x, y), marks } in &self.parts {
            let _ = write!(svg, "<g transform=\"translate({x:.0} {y:.0})\">{marks}</g>");
        }
        svg + "</svg>\n"
    }
}

/// What is being drawn.
#[derive(Debug, Default)]
pub(super) struct Drawing {
    marks: String,
}

/// Where words stand from their point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Words {
    Begin,
    Middle,
    End,
}

/// How strong words are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Weight {
    Soft,
    Plain,
    Bold,
}

impl Drawing {
    pub(super) fn line(&mut self, (x, y): (f64, f64), (to_x, to_y): (f64, f64), thick: f64) {
        self.put(format_args!(
            "<path d=\"M{x:.1} {y:.1}L{to_x:.1} {to_y:.1}\" stroke=\"#000\" stroke-width=\"{thick:.1}\"/>"
        ));
    }

    /// White ground, so that a line does not run through what stands on it.
    pub(super) fn ground(&mut self, (x, y): (f64, f64), width: f64, height: f64) {
        self.put(format_args!(
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"#fff\"/>"
        ));
    }

    /// A grey stroke with round ends: the bar over the strings.
    pub(super) fn bar(&mut self, (x, y): (f64, f64), (to_x, to_y): (f64, f64)) {
        self.put(format_args!(
            "<path d=\"M{x:.1} {y:.1}L{to_x:.1} {to_y:.1}\" stroke=\"#bbb\" stroke-width=\"9\" stroke-linecap=\"round\"/>"
        ));
    }

    pub(super) fn dot(&mut self, (x, y): (f64, f64), radius: f64) {
        self.put(format_args!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius:.1}\" fill=\"#fff\" stroke=\"#000\"/>"
        ));
    }

    pub(super) fn words(&mut self, (x, y): (f64, f64), words: &str, from: Words, weight: Weight, size: f64) {
        let anchor = match from {
            Words::Begin => "start",
            Words::Middle => "middle",
            Words::End => "end",
        };
        let look = match weight {
            Weight::Soft => " fill=\"#555\"",
            Weight::Plain => "",
            Weight::Bold => " font-weight=\"700\"",
        };
        self.put(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" font-size=\"{size:.0}\"{look} \
             xml:space=\"preserve\">{}</text>",
            escaped(words)
        ));
    }

    pub(super) fn picture(self, width: f64, height: f64) -> Picture {
        Picture {
            width: Pixels(width.ceil()),
            height: Pixels(height.ceil()),
            parts: vec![Part {
                at: (0.0, 0.0),
                marks: self.marks.into(),
            }],
        }
    }

    fn put(&mut self, mark: std::fmt::Arguments<'_>) {
        // Writing to a text never fails.
        let _ = self.marks.write_fmt(mark);
    }
}

/// Text as text: what would be markup is written out; what XML forbids is left out.
fn escaped(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => written.push_str("&amp;"),
            '<' => written.push_str("&lt;"),
            '>' => written.push_str("&gt;"),
            '"' => written.push_str("&quot;"),
            c if c < ' ' || c == '\u{fffe}' || c == '\u{ffff}' => {}
            c => written.push(c),
        }
    }
    written
}

/// Pictures in rows of so many, one below the other.
pub(super) fn stacked(pictures: &[Picture], abreast: usize) -> Picture {
    let mut parts = Vec::new();
    let (mut width, mut y) = (0.0_f64, 0.0_f64);
    for row in pictures.chunks(abreast.max(1)) {
        let (mut x, mut high) = (0.0_f64, 0.0_f64);
        for picture in row {
            if x > 0.0 {
                x += GAP;
            }
            parts.extend(picture.parts.iter().map(|part| Part {
                at: (part.at.0 + x, part.at.1 + y),
                marks: Arc::clone(&part.marks),
            }));
            x += picture.width.0;
            high = high.max(picture.height.0);
        }
        width = width.max(x);
        y += high + GAP;
    }
    Picture {
        width: Pixels(width.max(1.0)),
        height: Pixels((y - GAP).max(1.0)),
        parts,
    }
}
