//! The outline of one device with its terminals, symbols and words, in its own coordinates.

use crate::sheets::wiring::geometry::Point;

/// The edge of the outline that a terminal sits on; its conductors leave that way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// Upper edge.
    Top,
    /// Lower edge.
    Bottom,
    /// Right edge: devices outside the panel, towards the cable run.
    Right,
}

/// Where a conductor can be put into a terminal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clamp {
    /// On the outline.
    pub at: Point,
    /// Which edge.
    pub edge: Edge,
}

/// A terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// Name of the terminal.
    pub name: String,
    /// One clamp; two on a terminal strip, inside above and outside below.
    pub clamps: Vec<Clamp>,
    /// Where its number is written.
    pub label: Point,
    /// How the number is set.
    pub anchor: Anchor,
    /// Room for a pointer to each side of the clamp.
    pub half: f64,
}

/// How a word is set against its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// Ends there.
    End,
}

/// Kinds of line in a symbol.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Ink.
    Ink,
    /// Thin ink: bridges, brackets.
    Thin,
    /// Mechanical link.
    Link,
    /// Filled with ink.
    Solid,
}

/// A line of a symbol, as an SVG path.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The path.
    pub d: String,
    /// What kind of line.
    pub line: Line,
}

/// Sizes of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// Reference designation.
    Tag,
    /// Function and rating.
    Small,
    /// Inside a symbol, such as M.
    Symbol,
}

/// A word on the outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// Where.
    pub at: Point,
    /// What.
    pub text: String,
    /// How large.
    pub size: Size,
    /// How set.
    pub anchor: Anchor,
}

/// A bit of an image, shown at its terminal.
#[derive(Clone, Debug, PartialEq)]
pub struct Bit {
    /// Middle of its box.
    pub at: Point,
    /// The signal, such as `KF1.IX0.4`.
    pub signal: String,
}

/// A device as it is drawn, its upper left corner at 0, 0.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Shape {
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
    /// Terminals, in the order in which they are walked.
    pub pins: Vec<Pin>,
    /// Symbols.
    pub marks: Vec<Mark>,
    /// Words.
    pub words: Vec<Word>,
    /// Bits of a controller's images.
    pub bits: Vec<Bit>,
    /// A button's or lamp's face, with its colour after IEC 60073.
    pub face: Option<(Point, f64, sealin_core::part::Colour)>,
}

/// Average width of a letter over its size, for words of letters and digits in the sheet's type.
const LETTER: f64 = 0.55;
/// Size of small words.
pub const SMALL: f64 = 9.0;
/// Size of tags.
pub const TAG: f64 = 11.5;

impl Shape {
    /// An outline of this size.
    pub fn new(w: f64, h: f64) -> Self {
        Shape { w, h, ..Shape::default() }
    }

    /// Adds lines.
    pub fn mark(&mut self, line: Line, d: String) {
        self.marks.push(Mark { d, line });
    }

    /// Adds a terminal on the upper or lower edge.
    pub fn pin(&mut self, name: &str, x: f64, edge: Edge, half: f64) {
        let (y, label) = match edge {
            Edge::Top => (0.0, 14.5),
            _ => (self.h, self.h - 8.5),
        };
        self.pins.push(Pin {
            name: name.to_string(),
            clamps: vec![Clamp { at: Point::new(x, y), edge }],
            label: Point::new(x, label),
            anchor: Anchor::Middle,
            half,
        });
    }

    /// Adds a terminal on the right edge.
    pub fn pin_right(&mut self, name: &str, y: f64) {
        self.pins.push(Pin {
            name: name.to_string(),
            clamps: vec![Clamp { at: Point::new(self.w, y), edge: Edge::Right }],
            label: Point::new(self.w - 6.0, y - 3.5),
            anchor: Anchor::End,
            half: 10.0,
        });
    }

    /// Adds a word.
    pub fn word(&mut self, x: f64, y: f64, text: &str, size: Size, anchor: Anchor) {
        if !text.is_empty() {
            self.words.push(Word { at: Point::new(x, y), text: text.to_string(), size, anchor });
        }
    }

    /// Adds the tag with lines of small words under it, the block's middle at `y`.
    pub fn title(&mut self, x: f64, y: f64, tag: &str, lines: &[String], anchor: Anchor) {
        const STEP: f64 = 10.0;
        let first = y - (lines.len() as f64 * STEP) / 2.0 + 4.0;
        self.word(x, first, tag, Size::Tag, anchor);
        for (i, line) in lines.iter().enumerate() {
            self.word(x, first + (i + 1) as f64 * STEP + 0.5, line, Size::Small, anchor);
        }
    }
}

/// Width that a word takes, about.
pub fn word_width(text: &str, size: Size) -> f64 {
    text.chars().count() as f64
        * match size {
            Size::Tag => TAG * 0.74,
            Size::Small | Size::Symbol => SMALL * LETTER,
        }
}

/// Lines of at most `width`, about, parted at spaces and after hyphens; pieces that are longer stay whole.
pub fn wrapped(text: &str, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let words = text.split_whitespace().map(|word| word.split_inclusive('-').enumerate());
    for (n, piece) in words.flatten() {
        let (space, room) = if n == 0 { (" ", 4.0) } else { ("", 0.0) };
        match lines.last_mut() {
            Some(line) if word_width(line, Size::Small) + word_width(piece, Size::Small) + room <= width => {
                line.push_str(space);
                line.push_str(piece);
            }
            _ => lines.push(piece.to_string()),
        }
    }
    lines
}
