//! Where the parts of a rung stand on a grid, and which of them pass power.
//!
//! # Grid
//!
//! Units are cells, not characters or pixels. Column `c` reaches from `x = c` to `x = c + 1`; the left rail is at
//! `x = 0`, the right rail at `x = columns`. `y` is a row: rows count downwards and a line at `y = r` runs through the
//! middle of row `r`. An item fills its cells from edge to edge: its symbol stands in the middle and its two leads reach
//! the edges; the left lead belongs to point [`Item::from`], the right one to [`Item::to`]. Wires are what is left over:
//! horizontal stretches over empty cells and vertical links at the edges of columns.
//!
//! A block stands at the right with its first input on the rung's first row. Each further input has rows of its own below:
//! its network begins at the left rail and ends at the pin; an input that is left open has one empty row. A pin that is a
//! value and no bit shares the row of the last bit on its side.
//!
//! # Power
//!
//! A *point* is a stretch of line with one state. As IEC 61131-3 has it (ladder diagram, links), a horizontal link has the
//! state of what stands at its left end, a vertical link the OR of the horizontal links on its left, and power flows
//! from left to right only. Point 0 is the left rail, which is always on.

use crate::model::{Call, Contact, Network, Output, Rung};

/// A rung laid out. All indices are into its own lists.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct RungLayout {
    /// Width in cells, output included; at least 2.
    pub columns: u32,
    /// Height in cells; at least 1.
    pub rows: u32,
    /// Contacts, links and gaps in reading order, then the output.
    pub items: Vec<Item>,
    /// Lines between items, at most one for a point, in the order of the points.
    pub wires: Vec<Wire>,
    /// How each point gets its state; one stands after those that it depends on.
    pub points: Vec<Point>,
    /// Where the networks lie, in the order of [`Rung::networks`].
    pub networks: Vec<Span>,
}

/// The cells of a network, which begins at the left rail.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub struct Span {
    /// Top row: that of its pin, or of the coil.
    pub row: u32,
    /// Height in cells; at least 1.
    pub rows: u32,
    /// Width in cells; at least 1.
    pub columns: u32,
}

/// A symbol on the grid.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    /// Leftmost column.
    pub column: u32,
    /// Top row; the leads are in this row.
    pub row: u32,
    /// Width in cells: 2 for a block, else 1.
    pub width: u32,
    /// Height in cells: for a block down to the row of its last pin, and at least 2 if it has a preset; else 1.
    pub height: u32,
    /// What it is.
    pub kind: ItemKind,
    /// Point at its left.
    pub from: u32,
    /// Point at its right.
    pub to: u32,
}

/// What an item is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ItemKind {
    /// A contact.
    Contact {
        /// What it reads, and when it passes.
        contact: Contact,
        /// Index among the rung's contacts in reading order, as [`edit`](crate::edit) takes it.
        index: u32,
    },
    /// A plain link, from `TRUE`.
    Link,
    /// A gap, from `FALSE`.
    Gap,
    /// A coil, of the kind and for the bit that the output says.
    Coil(Output),
    /// A function block.
    Block {
        /// What is called, with its preset.
        call: Call,
        /// Its pins, left side then right, each from top to bottom.
        pins: Vec<Pin>,
    },
}

impl ItemKind {
    /// The contact's index, if it is one.
    pub fn contact(&self) -> Option<u32> {
        match self {
            ItemKind::Contact { index, .. } => Some(*index),
            _ => None,
        }
    }

    /// Whether it is what the rung drives.
    pub fn is_output(&self) -> bool {
        matches!(self, ItemKind::Coil(_) | ItemKind::Block { .. })
    }
}

/// A pin of a block.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub struct Pin {
    /// Its name in the standard.
    pub name: &'static str,
    /// What it is.
    pub kind: PinKind,
    /// Row of the grid that it stands in; of two on one side of a row the later one is below.
    pub row: u32,
}

/// What a pin is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum PinKind {
    /// A bit at the left, with the point that feeds it; none for one that is left open and so stays 0.
    Input(Option<u32>),
    /// The preset time or count, at the left.
    Preset,
    /// A bit at the right.
    Output,
    /// The elapsed time or the count, at the right.
    Value,
}

/// The lines of one point.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wire {
    /// The point whose state it has.
    pub point: u32,
    /// Its straight stretches.
    pub segments: Vec<Segment>,
}

/// A straight stretch from (`x1`, `y1`) to (`x2`, `y2`): horizontal, or vertical, with `x1 <= x2` and `y1 <= y2`.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub struct Segment {
    /// Column edge where it begins.
    pub x1: u32,
    /// Row where it begins.
    pub y1: u32,
    /// Column edge where it ends.
    pub x2: u32,
    /// Row where it ends.
    pub y2: u32,
}

/// How a point gets its state.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Point {
    /// The left rail: always on.
    Rail,
    /// The right side of an item: on if the item passes.
    After(u32),
    /// A vertical link: on if any of these points, at its left, is.
    Join(Vec<u32>),
}

/// Which parts of a rung pass power; one entry for each item, wire and point of the layout.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Passing {
    /// Whether an item would pass power that reached it: a contact whose bit suits it, a link; for a coil whether its
    /// bit is 1, for a block its first output.
    pub closed: Vec<bool>,
    /// Whether power reaches an item and it passes it on. A coil or block passes whenever power reaches it.
    pub items: Vec<bool>,
    /// Whether a wire has power.
    pub wires: Vec<bool>,
    /// Whether a point has power.
    pub points: Vec<bool>,
}

/// Lays a rung out as narrow as it goes.
pub fn lay_out(rung: &Rung) -> RungLayout {
    lay_out_to(rung, 0)
}

/// Lays a rung out with its output at the right of `columns` cells, or as narrow as it goes if it needs more.
pub fn lay_out_to(rung: &Rung, columns: u32) -> RungLayout {
    let mut drawing = Drawing::default();
    let (sizes, rows) = spans(rung);
    let widest = sizes.iter().map(|span| span.columns).max().unwrap_or(1);
    let width = if matches!(rung.output, Output::Block(_)) { 2 } else { 1 };
    let columns = columns.max(widest + width);
    let column = columns - width;
    let ends: Vec<u32> = rung
        .networks()
        .zip(&sizes)
        .map(|(network, span)| {
            let end = drawing.place(network, 0, span.row, 0);
            drawing.line(end, span.columns, span.row, column, span.row);
            end
        })
        .collect();
    let kind = match &rung.output {
        Output::Block(call) => ItemKind::Block { call: call.clone(), pins: pins(call, &sizes, &ends) },
        coil => ItemKind::Coil(coil.clone()),
    };
    let height = height(&kind);
    drawing.item(Item { column, row: 0, width, height, kind, from: ends[0], to: 0 });
    let wires = drawing.segments.into_iter().enumerate().filter(|(_, segments)| !segments.is_empty());
    RungLayout {
        columns,
        rows: rows.max(height),
        items: drawing.items,
        wires: wires.map(|(point, segments)| Wire { point: point as u32, segments }).collect(),
        points: drawing.points,
        networks: sizes,
    }
}

/// Where each network lies, and the rows of all of them and of the open inputs.
fn spans(rung: &Rung) -> (Vec<Span>, u32) {
    let first = measure(&rung.logic);
    let mut row = first.rows;
    let mut spans = vec![Span { row: 0, rows: first.rows, columns: first.columns }];
    for input in rung.output.further() {
        match input {
            Some(network) => {
                let size = measure(network);
                spans.push(Span { row, rows: size.rows, columns: size.columns });
                row += size.rows;
            }
            None => row += 1,
        }
    }
    (spans, row)
}

/// The pins of a block: `spans` and `ends` are those of the networks that are there.
fn pins(call: &Call, spans: &[Span], ends: &[u32]) -> Vec<Pin> {
    let names = call.block.inputs();
    let mut pins = vec![Pin { name: names[0], kind: PinKind::Input(Some(ends[0])), row: 0 }];
    let mut below = spans[0].rows;
    let mut fed = spans.iter().zip(ends).skip(1);
    for (name, input) in names[1..].iter().zip(&call.further) {
        let (kind, rows) = match input.as_ref().and_then(|_| fed.next()) {
            Some((span, end)) => (PinKind::Input(Some(*end)), span.rows),
            None => (PinKind::Input(None), 1),
        };
        pins.push(Pin { name, kind, row: below });
        below += rows;
    }
    let last_input = pins[pins.len() - 1].row;
    if let Some(preset) = call.block.preset() {
        pins.push(Pin { name: preset.pin(), kind: PinKind::Preset, row: last_input });
    }
    let outputs = call.block.outputs();
    pins.extend(outputs.iter().zip(0..).map(|(name, row)| Pin { name, kind: PinKind::Output, row }));
    if let Some(name) = call.block.value() {
        pins.push(Pin { name, kind: PinKind::Value, row: outputs.len() as u32 - 1 });
    }
    pins
}

fn height(kind: &ItemKind) -> u32 {
    match kind {
        ItemKind::Block { call, pins } => {
            let last = pins.iter().map(|pin| pin.row).max().unwrap_or(0);
            (last + 1).max(if call.block.preset().is_some() { 2 } else { 1 })
        }
        _ => 1,
    }
}

impl RungLayout {
    /// Which parts pass power, by a way to see whether a contact passes (its index in the rung, and itself) and a way to
    /// read a bit from its name.
    ///
    /// The bits are those of one instant, usually after a scan: a bit that a later rung of the same scan has changed is
    /// shown as it is now, not as this rung saw it.
    pub fn passing(&self, passes: &dyn Fn(u32, &Contact) -> bool, read: &dyn Fn(&str) -> bool) -> Passing {
        let closed: Vec<bool> = self
            .items
            .iter()
            .map(|item| match &item.kind {
                ItemKind::Contact { contact, index } => passes(*index, contact),
                ItemKind::Link => true,
                ItemKind::Gap => false,
                ItemKind::Coil(output) => read(output.var()),
                ItemKind::Block { call, .. } => {
                    read(&format!("{}.{}", call.instance, call.block.outputs()[0]))
                }
            })
            .collect();
        let passes_if_reached = |index: usize| match self.items[index].kind {
            ItemKind::Coil(_) | ItemKind::Block { .. } => true,
            _ => closed[index],
        };
        let mut points: Vec<bool> = Vec::with_capacity(self.points.len());
        for point in &self.points {
            let on = match point {
                Point::Rail => true,
                Point::After(item) => {
                    let index = *item as usize;
                    // What feeds an item was laid out before it.
                    points[self.items[index].from as usize] && passes_if_reached(index)
                }
                Point::Join(sources) => sources.iter().any(|source| points[*source as usize]),
            };
            points.push(on);
        }
        Passing {
            items: self.items.iter().map(|item| points[item.to as usize]).collect(),
            wires: self.wires.iter().map(|wire| points[wire.point as usize]).collect(),
            closed,
            points,
        }
    }
}

struct Size {
    columns: u32,
    rows: u32,
}

fn measure(logic: &Network) -> Size {
    match logic {
        Network::Series(parts) if !parts.is_empty() => {
            parts.iter().map(measure).fold(Size { columns: 0, rows: 1 }, |all, part| Size {
                columns: all.columns + part.columns,
                rows: all.rows.max(part.rows),
            })
        }
        Network::Parallel(parts) if !parts.is_empty() => {
            parts.iter().map(measure).fold(Size { columns: 1, rows: 0 }, |all, part| Size {
                columns: all.columns.max(part.columns),
                rows: all.rows + part.rows,
            })
        }
        _ => Size { columns: 1, rows: 1 },
    }
}

struct Drawing {
    items: Vec<Item>,
    points: Vec<Point>,
    /// By point.
    segments: Vec<Vec<Segment>>,
    contacts: u32,
}

impl Default for Drawing {
    fn default() -> Self {
        Drawing { items: Vec::new(), points: vec![Point::Rail], segments: vec![Vec::new()], contacts: 0 }
    }
}

impl Drawing {
    /// Places a network with its top left cell at (`column`, `row`), fed from a point; returns the point at its right
    /// end, which is in `row` at the network's full width.
    fn place(&mut self, logic: &Network, column: u32, row: u32, from: u32) -> u32 {
        match logic {
            Network::Contact(contact) => {
                let index = self.contacts;
                self.contacts += 1;
                self.cell(column, row, ItemKind::Contact { contact: contact.clone(), index }, from)
            }
            Network::Series(parts) if !parts.is_empty() => {
                let (mut at, mut column) = (from, column);
                for part in parts {
                    at = self.place(part, column, row, at);
                    column += measure(part).columns;
                }
                at
            }
            Network::Parallel(branches) if !branches.is_empty() => self.parallel(branches, column, row, from),
            Network::True | Network::Series(_) => self.cell(column, row, ItemKind::Link, from),
            Network::False | Network::Parallel(_) => self.cell(column, row, ItemKind::Gap, from),
        }
    }

    fn parallel(&mut self, branches: &[Network], column: u32, row: u32, from: u32) -> u32 {
        let sizes: Vec<Size> = branches.iter().map(measure).collect();
        let right = column + sizes.iter().map(|size| size.columns).max().unwrap_or(1);
        let (mut top, mut last) = (row, row);
        let mut ends = Vec::with_capacity(branches.len());
        for (branch, size) in branches.iter().zip(&sizes) {
            let end = self.place(branch, column, top, from);
            self.line(end, column + size.columns, top, right, top);
            ends.push(end);
            last = top;
            top += size.rows;
        }
        self.line(from, column, row, column, last);
        let join = self.point(Point::Join(ends));
        self.line(join, right, row, right, last);
        join
    }

    fn cell(&mut self, column: u32, row: u32, kind: ItemKind, from: u32) -> u32 {
        self.item(Item { column, row, width: 1, height: 1, kind, from, to: 0 })
    }

    /// Puts an item down and gives the point at its right.
    fn item(&mut self, item: Item) -> u32 {
        let to = self.point(Point::After(self.items.len() as u32));
        self.items.push(Item { to, ..item });
        to
    }

    fn point(&mut self, point: Point) -> u32 {
        self.points.push(point);
        self.segments.push(Vec::new());
        self.points.len() as u32 - 1
    }

    fn line(&mut self, point: u32, x1: u32, y1: u32, x2: u32, y2: u32) {
        if (x1, y1) != (x2, y2) {
            self.segments[point as usize].push(Segment { x1, y1, x2, y2 });
        }
    }
}
