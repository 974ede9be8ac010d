//! How much room a symbol takes, in cells of the drawing's grid, and where its ports stand.

use super::element::{Element, Figure, Moved, Pole, Side};

/// A cell of the grid, drawing units.
pub const CELL: f64 = 8.0;
/// Width of a character of a tag, drawing units.
pub const TAG_WIDE: f64 = 6.8;
/// Width of any other character.
pub const SMALL_WIDE: f64 = 4.6;
/// Room for a potential, `−231 V`.
pub const VOLTS_WIDE: f64 = 25.0;
/// From one pole to the next, cells.
const PITCH: i32 = 4;

/// Room of a symbol, cells. Its first port stands in cell `left`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Cells before the first port.
    pub left: i32,
    /// From port to port.
    pub pitch: i32,
    /// Cells behind the last port.
    pub right: i32,
    /// Height.
    pub high: i32,
}

/// Width of a text.
pub fn wide(text: &str, each: f64) -> f64 {
    text.chars().count() as f64 * each
}

fn cells(units: f64) -> i32 {
    (units / CELL).ceil() as i32
}

/// Room to the left of the port that the symbol itself takes.
pub fn reach(figure: Figure) -> f64 {
    match figure {
        Figure::Contact { by: Moved::Elsewhere | Moved::Output, .. } => 9.0,
        Figure::Contact { .. } => 20.0,
        _ => 10.0,
    }
}

/// The words at the left of a symbol: its tag, and under it an address or the path of what moves it.
pub fn beside(element: &Element) -> f64 {
    let under =
        if element.address.is_empty() { 4.0 * SMALL_WIDE } else { wide(&element.address, SMALL_WIDE) };
    wide(&element.tag, TAG_WIDE).max(under)
}

/// The name of a terminal of a strip, or of a common.
pub fn label(element: &Element, port: usize) -> String {
    element.ports[port].terminal.as_ref().map(ToString::to_string).unwrap_or_default()
}

/// Room of a symbol.
pub fn room(element: &Element) -> Room {
    let widest = (0..element.ports.len()).map(|p| wide(&label(element, p), SMALL_WIDE)).fold(0.0, f64::max);
    let name = |p: usize| element.ports[p].terminal.as_ref().map_or(0.0, |t| wide(&t.name, SMALL_WIDE));
    let longest = (0..element.ports.len()).map(name).fold(0.0, f64::max);
    let room = |high: i32, right: i32| {
        let left = cells(beside(element) + reach(element.figure) - CELL / 2.0 + 3.0);
        Room { left, pitch: PITCH, right, high }
    };
    match element.figure {
        Figure::Point | Figure::Common(_) => {
            Room { left: 1, pitch: 1, right: cells(widest.max(VOLTS_WIDE) + 3.0), high: 3 }
        }
        Figure::Block => {
            let left = cells(wide(&element.tag, TAG_WIDE) + 2.0);
            Room {
                left,
                pitch: PITCH.max(cells(longest + 9.0)),
                right: cells(longest.max(VOLTS_WIDE) + 3.0),
                high: 3,
            }
        }
        Figure::Bar => {
            let left = cells(wide(&element.tag, TAG_WIDE).max(VOLTS_WIDE) + 4.0);
            Room { left, pitch: cells(longest + 9.0).max(3), right: cells(longest + 2.0), high: 3 }
        }
        Figure::Supply | Figure::Winding(_) => room(5, 3),
        // Wider than the words before the strip under its upper pole.
        Figure::Converter(true) => Room { pitch: 6, ..room(6, 3) },
        Figure::Poles(Pole::MotorBreaker) => room(11, 3),
        Figure::Motor => room(9, 4),
        Figure::Coil | Figure::Lamp | Figure::Brake => room(6, 4),
        Figure::Earth => room(4, 3),
        _ => room(7, 3),
    }
}

/// Cell of each port from the left edge; a bar's are as close as they may stand.
pub fn columns(element: &Element) -> Vec<i32> {
    let room = room(element);
    let of = |side: Side| element.ports.iter().filter(|p| p.side == side).count() as i32;
    let most = of(Side::Top).max(of(Side::Bottom));
    let mut next = [0, 0];
    element
        .ports
        .iter()
        .map(|port| {
            let here = &mut next[port.side as usize];
            // The common of a changeover contact stands between its two sides.
            let middle = element.figure == Figure::Changeover && of(port.side) == 1;
            let at = if middle { room.pitch * (most - 1) / 2 } else { room.pitch * *here };
            *here += 1;
            room.left + at
        })
        .collect()
}
