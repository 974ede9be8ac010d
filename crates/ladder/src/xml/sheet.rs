//! A program's rungs as graphic elements with places and connections: what both forms of XML write.
//!
//! One left and one right rail run down the whole body. A contact of a comparison becomes the comparison function; where
//! power reaches it through other contacts an AND of what arrives and of its result goes on, since IEC 61131-3 does not
//! say what a function gives while its EN is 0. A place that many elements feed and many leave gets an OR, or the
//! connections would multiply.

use std::borrow::Cow;

use crate::model::{Comparison, Contact, Network, Operand, Output, Program, Rung, Test};

/// Width and height of a cell, in the units of the coordinates.
const CELL: (u32, u32) = (80, 40);
/// Where the first column begins, from the left edge of the body.
const LEFT: u32 = 40;
/// How much of a cell's width a contact or coil fills, in its middle.
const SYMBOL: (u32, u32) = (32, 16);
/// Cells that a value's text fills.
const VALUE_CELLS: u32 = 2;
/// Cells that a block fills.
const BLOCK_CELLS: u32 = 2;
/// From how many connections on an OR stands where several elements feed several.
const MOST_CONNECTIONS: usize = 16;

/// The elements of a body, in the order of their numbers.
pub(super) struct Sheet<'a> {
    pub elements: Vec<Element<'a>>,
}

/// A graphic element.
pub(super) struct Element<'a> {
    /// Its number in the body, from 1.
    pub id: u32,
    pub x: u32,
    pub y: u32,
    pub width: u32,
    pub height: u32,
    /// The rung that it belongs to; the rails belong to none.
    pub rung: Option<usize>,
    pub kind: Kind<'a>,
}

/// What an element is.
pub(super) enum Kind<'a> {
    /// The left rail, with each place where a network of a rung leaves it, and which rung that is.
    LeftRail(Vec<(usize, Pin)>),
    /// The right rail, with each place where a rung reaches it.
    RightRail(Vec<(usize, Pin)>),
    /// A comment of a rung.
    Comment(&'a str),
    Contact {
        operand: String,
        test: Test,
        input: Pin,
        output: Pin,
    },
    Coil {
        coil: &'a Output,
        input: Pin,
        output: Pin,
    },
    /// A function or a function block.
    Block {
        type_name: &'static str,
        instance: Option<&'a str>,
        inputs: Vec<Pin>,
        outputs: Vec<Pin>,
    },
    /// A variable or literal that feeds an input.
    Value {
        expression: String,
        output: Pin,
    },
}

/// Where an element is connected: an input with what feeds it, or an output.
pub(super) struct Pin {
    /// Its formal parameter; none for a contact, coil, rail or value.
    pub name: Cow<'static, str>,
    /// From the element's left edge.
    pub x: u32,
    /// From the element's top edge.
    pub y: u32,
    /// What feeds it; any of them being on is enough.
    pub sources: Vec<Source>,
}

/// An output of an element.
#[derive(Clone)]
pub(super) struct Source {
    pub id: u32,
    /// The formal parameter of the output; none where the element has only one.
    pub name: Cow<'static, str>,
    /// Which of the element's outputs, from 0.
    pub index: usize,
}

impl Pin {
    fn input(name: impl Into<Cow<'static, str>>, y: u32, sources: Vec<Source>) -> Self {
        Pin { name: name.into(), x: 0, y, sources }
    }

    fn output(name: impl Into<Cow<'static, str>>, x: u32, y: u32) -> Self {
        Pin { name: name.into(), x, y, sources: Vec::new() }
    }
}

impl<'a> Sheet<'a> {
    pub fn of(program: &'a Program) -> Self {
        let mut drawing = Drawing {
            sheet: Sheet { elements: Vec::new() },
            rung: 0,
            row: 0,
            rail: Vec::new(),
            ends: Vec::new(),
        };
        // The left rail is the first element; how tall it is comes out at the end.
        drawing.add(None, 0, 0, (1, CELL.1), Kind::LeftRail(Vec::new()));
        let widest = program.rungs.iter().map(columns).max().unwrap_or(1);
        for (index, rung) in program.rungs.iter().enumerate() {
            drawing.rung = index;
            drawing.rung(rung, widest);
        }
        let height = (drawing.row * CELL.1).max(CELL.1);
        let (rail, ends) = (drawing.rail, drawing.ends);
        let right = LEFT + widest * CELL.0;
        let mut sheet = drawing.sheet;
        sheet.elements[0].x = LEFT;
        sheet.elements[0].height = height;
        sheet.elements[0].kind = Kind::LeftRail(rail);
        let id = sheet.elements.len() as u32 + 1;
        let kind = Kind::RightRail(ends);
        sheet.elements.push(Element { id, x: right, y: 0, width: 1, height, rung: None, kind });
        sheet
    }
}

/// Cells that a rung needs, its output included.
fn columns(rung: &Rung) -> u32 {
    let networks = rung.networks().map(|logic| measure(logic, 0).0).max().unwrap_or(0);
    match &rung.output {
        Output::Block(call) if call.preset.is_some() => networks.max(VALUE_CELLS) + BLOCK_CELLS,
        Output::Block(_) => networks + BLOCK_CELLS,
        _ => networks + 1,
    }
}

/// Cells that a network needs, across and down, where so many elements feed it; none is the left rail.
fn measure(logic: &Network, feeds: usize) -> (u32, u32) {
    match logic {
        Network::Contact(Contact::Compare(_)) if feeds == 0 => (VALUE_CELLS + BLOCK_CELLS, 2),
        Network::Contact(Contact::Compare(_)) => (VALUE_CELLS + 2 * BLOCK_CELLS, 3),
        Network::Series(parts) if !parts.is_empty() => {
            let mut feeds = feeds;
            parts.iter().fold((0, 1), |(across, down), part| {
                let size = measure(part, feeds);
                feeds = ends(part);
                (across + size.0, down.max(size.1))
            })
        }
        Network::Parallel(parts) if !parts.is_empty() => {
            let joined = is_joined(logic, feeds);
            let (joint, feeds) = if joined { (BLOCK_CELLS, 1) } else { (0, feeds) };
            let sizes = parts.iter().map(|part| measure(part, feeds));
            let (across, down) =
                sizes.fold((1, 0), |(across, down), size| (across.max(size.0), down + size.1));
            (across + joint, down)
        }
        _ => (1, 1),
    }
}

/// Whether an OR stands before a network that so many elements feed.
fn is_joined(logic: &Network, feeds: usize) -> bool {
    feeds > 1 && feeds.saturating_mul(heads(logic)) > MOST_CONNECTIONS
}

/// How many elements a network begins with.
fn heads(logic: &Network) -> usize {
    match logic {
        Network::Series(parts) => parts.first().map_or(1, heads),
        Network::Parallel(parts) if !parts.is_empty() => parts.iter().map(heads).sum(),
        _ => 1,
    }
}

/// How many elements a network ends with.
fn ends(logic: &Network) -> usize {
    match logic {
        Network::Series(parts) => parts.last().map_or(1, ends),
        Network::Parallel(parts) if !parts.is_empty() => parts.iter().map(ends).sum(),
        _ => 1,
    }
}

struct Drawing<'a> {
    sheet: Sheet<'a>,
    /// Index of the rung in hand.
    rung: usize,
    /// The first free row.
    row: u32,
    rail: Vec<(usize, Pin)>,
    ends: Vec<(usize, Pin)>,
}

impl<'a> Drawing<'a> {
    fn rung(&mut self, rung: &'a Rung, widest: u32) {
        if !rung.comment.is_empty() {
            let lines = rung.comment.split('\n').count() as u32;
            let size = (widest.max(4) * CELL.0, lines * CELL.1);
            self.add(Some(self.rung), LEFT, self.row * CELL.1, size, Kind::Comment(&rung.comment));
            self.row += lines;
        }
        let top = self.row;
        let output = widest - if matches!(rung.output, Output::Block(_)) { BLOCK_CELLS } else { 1 };
        match &rung.output {
            Output::Block(call) => {
                let mut row = top;
                let mut inputs = Vec::new();
                let networks =
                    std::iter::once(Some(&rung.logic)).chain(call.further.iter().map(Option::as_ref));
                for (name, logic) in call.block.inputs().iter().zip(networks) {
                    let sources = match logic {
                        Some(logic) => {
                            let from = self.leave_rail(row);
                            let sources = self.whole(logic, from, row);
                            row += measure(logic, 0).1;
                            sources
                        }
                        None => Vec::new(),
                    };
                    inputs.push((*name, sources));
                }
                if let (Some(pin), Some(figure)) = (call.block.preset(), call.preset) {
                    inputs.push((pin.pin(), vec![self.value(figure.to_string(), output - VALUE_CELLS, row)]));
                    row += 1;
                }
                let outputs: Vec<&'static str> =
                    call.block.outputs().iter().copied().chain(call.block.value()).collect();
                let pins = inputs.len().max(outputs.len()) as u32;
                self.block(call.block.word(), Some(&call.instance), inputs, &outputs, output, top);
                self.row = row.max(top + pins) + 1;
            }
            coil => {
                let from = self.leave_rail(top);
                let input = self.whole(&rung.logic, from, top);
                let kind = Kind::Coil { coil, input: entry(input), output: exit() };
                let end = self.symbol(output, top, kind);
                self.ends.push((self.rung, Pin::input("", middle(top), vec![end])));
                self.row = top + measure(&rung.logic, 0).1 + 1;
            }
        }
    }

    /// A place on the left rail from which a network begins.
    fn leave_rail(&mut self, row: u32) -> Source {
        let index = self.rail.len();
        self.rail.push((self.rung, Pin::output("", 1, middle(row))));
        Source { id: 1, name: Cow::Borrowed(""), index }
    }

    /// A network from the left rail to an input. A plain link is a connection.
    fn whole(&mut self, logic: &'a Network, from: Source, row: u32) -> Vec<Source> {
        match logic {
            Network::True => vec![from],
            _ => self.place(logic, vec![from], 0, row),
        }
    }

    /// Places a network with its top left cell at (`column`, `row`), fed by any of `from`; returns what it ends with.
    fn place(&mut self, logic: &'a Network, from: Vec<Source>, column: u32, row: u32) -> Vec<Source> {
        let feeds = if from.iter().all(|source| source.id == 1) { 0 } else { from.len() };
        match logic {
            Network::Contact(Contact::Bit { var, test }) => {
                vec![self.contact(var.clone(), *test, from, column, row)]
            }
            Network::Contact(Contact::Compare(comparison)) => {
                if feeds == 0 {
                    return vec![self.comparison(comparison, column, row)];
                }
                let holds = self.comparison(comparison, column, row + 1);
                let inputs = vec![("IN1", from), ("IN2", vec![holds])];
                vec![self.block("AND", None, inputs, &["OUT"], column + VALUE_CELLS + BLOCK_CELLS, row)]
            }
            Network::Series(parts) if !parts.is_empty() => {
                let (mut from, mut column, mut feeds) = (from, column, feeds);
                for part in parts {
                    let across = measure(part, feeds).0;
                    from = self.place(part, from, column, row);
                    column += across;
                    feeds = from.len();
                }
                from
            }
            Network::Parallel(branches) if !branches.is_empty() => {
                let (from, column, feeds) = if is_joined(logic, feeds) {
                    (vec![self.joint(from, column, row)], column + BLOCK_CELLS, 1)
                } else {
                    (from, column, feeds)
                };
                let (mut ends, mut row) = (Vec::new(), row);
                for branch in branches {
                    ends.extend(self.place(branch, from.clone(), column, row));
                    row += measure(branch, feeds).1;
                }
                ends
            }
            Network::True | Network::Series(_) => {
                vec![self.contact("TRUE".to_owned(), Test::Open, from, column, row)]
            }
            Network::False | Network::Parallel(_) => {
                vec![self.contact("FALSE".to_owned(), Test::Open, from, column, row)]
            }
        }
    }

    fn contact(&mut self, operand: String, test: Test, from: Vec<Source>, column: u32, row: u32) -> Source {
        let kind = Kind::Contact { operand, test, input: entry(from), output: exit() };
        self.symbol(column, row, kind)
    }

    /// An OR of many; its inputs stand close, so that it is no taller than what feeds it.
    fn joint(&mut self, from: Vec<Source>, column: u32, row: u32) -> Source {
        let step = 4;
        let x = LEFT + column * CELL.0 + (CELL.0 - SYMBOL.0) / 2;
        let y = middle(row) - step;
        let width = (BLOCK_CELLS - 1) * CELL.0 + SYMBOL.0;
        let height = step * (from.len() as u32 + 1);
        let inputs = from.into_iter().enumerate().map(|(index, source)| {
            Pin::input(format!("IN{}", index + 1), step * (index as u32 + 1), vec![source])
        });
        let outputs = vec![Pin::output("OUT", width, step)];
        let kind = Kind::Block { type_name: "OR", instance: None, inputs: inputs.collect(), outputs };
        let id = self.add(Some(self.rung), x, y, (width, height), kind);
        Source { id, name: Cow::Borrowed("OUT"), index: 0 }
    }

    fn comparison(&mut self, comparison: &Comparison, column: u32, row: u32) -> Source {
        let with = match &comparison.with {
            Operand::Constant(figure) => figure.to_string(),
            Operand::Value(name) => name.clone(),
        };
        let left = self.value(comparison.value.clone(), column, row);
        let right = self.value(with, column, row + 1);
        let inputs = vec![("IN1", vec![left]), ("IN2", vec![right])];
        self.block(comparison.relation.function(), None, inputs, &["OUT"], column + VALUE_CELLS, row)
    }

    fn value(&mut self, expression: String, column: u32, row: u32) -> Source {
        let width = VALUE_CELLS * CELL.0 - (CELL.0 - SYMBOL.0);
        let output = Pin::output("", width, SYMBOL.1 / 2);
        let (x, y) = corner(column, row);
        let id = self.add(Some(self.rung), x, y, (width, SYMBOL.1), Kind::Value { expression, output });
        Source { id, name: Cow::Borrowed(""), index: 0 }
    }

    /// Places a block; returns its first output.
    fn block(
        &mut self,
        type_name: &'static str,
        instance: Option<&'a str>,
        inputs: Vec<(&'static str, Vec<Source>)>,
        outputs: &[&'static str],
        column: u32,
        row: u32,
    ) -> Source {
        let (x, y) = corner(column, row);
        let width = (BLOCK_CELLS - 1) * CELL.0 + SYMBOL.0;
        let pin_y = |index: usize| SYMBOL.1 / 2 + index as u32 * CELL.1;
        let height = pin_y(inputs.len().max(outputs.len()) - 1) + SYMBOL.1 / 2;
        let inputs = inputs.into_iter().enumerate();
        let inputs = inputs.map(|(index, (name, sources))| Pin::input(name, pin_y(index), sources)).collect();
        let outs = outputs.iter().enumerate();
        let outs = outs.map(|(index, name)| Pin::output(*name, width, pin_y(index))).collect();
        let kind = Kind::Block { type_name, instance, inputs, outputs: outs };
        let id = self.add(Some(self.rung), x, y, (width, height), kind);
        Source { id, name: Cow::Borrowed(outputs[0]), index: 0 }
    }

    /// Places a contact or coil.
    fn symbol(&mut self, column: u32, row: u32, kind: Kind<'a>) -> Source {
        let (x, y) = corner(column, row);
        let id = self.add(Some(self.rung), x, y, SYMBOL, kind);
        Source { id, name: Cow::Borrowed(""), index: 0 }
    }

    fn add(
        &mut self,
        rung: Option<usize>,
        x: u32,
        y: u32,
        (width, height): (u32, u32),
        kind: Kind<'a>,
    ) -> u32 {
        let id = self.sheet.elements.len() as u32 + 1;
        self.sheet.elements.push(Element { id, x, y, width, height, rung, kind });
        id
    }
}

/// The top left corner of a symbol whose line runs through the middle of a row.
fn corner(column: u32, row: u32) -> (u32, u32) {
    (LEFT + column * CELL.0 + (CELL.0 - SYMBOL.0) / 2, middle(row) - SYMBOL.1 / 2)
}

fn middle(row: u32) -> u32 {
    row * CELL.1 + CELL.1 / 2
}

fn entry(sources: Vec<Source>) -> Pin {
    Pin::input("", SYMBOL.1 / 2, sources)
}

fn exit() -> Pin {
    Pin::output("", SYMBOL.0, SYMBOL.1 / 2)
}
