//! Shapes of terminal strips, and of parts of the panel that are only earthed.

use super::devices::{LEAD, PITCH, widest};
use super::shape::{Anchor, Clamp, Edge, Line, Pin, Shape, Size, word_width, wrapped};
use super::symbols;
use crate::sheets::wiring::geometry::Point;
use sealin_core::part::{Kind, Part, Place, Strip};

/// A terminal strip: one column a terminal, a clamp above for the panel's own conductors and one below for the field's.
pub fn strip(part: &Part, strip: &Strip, room: f64) -> Shape {
    const HEIGHT: f64 = 64.0;
    let pitch = 13.6 + 8.0 * room;
    let count = strip.terminals.len();
    let mut s = Shape::new(pitch * count as f64 + 4.0, HEIGHT);
    let x = |n: usize| 2.0 + pitch * (n as f64 + 0.5);
    for (n, name) in strip.terminals.iter().enumerate() {
        s.pins.push(Pin {
            name: name.clone(),
            clamps: vec![
                Clamp { at: Point::new(x(n), 0.0), edge: Edge::Top },
                Clamp { at: Point::new(x(n), HEIGHT), edge: Edge::Bottom },
            ],
            label: Point::new(x(n), 15.0),
            anchor: Anchor::Middle,
            half: pitch / 2.0,
        });
        if n > 0 {
            let wall = 2.0 + pitch * n as f64;
            s.mark(Line::Thin, format!("M{wall} 0V19M{wall} {}V{HEIGHT}", HEIGHT - 14.0));
        }
    }
    for bridge in &strip.bridges {
        let at: Vec<f64> =
            bridge.iter().filter_map(|name| strip.terminals.iter().position(|t| t == name)).map(x).collect();
        if let (Some(first), Some(last)) = (at.first(), at.last()) {
            let y = HEIGHT - 18.0;
            s.mark(Line::Ink, format!("M{first} {y}H{last}"));
            s.mark(Line::Solid, at.iter().map(|&x| symbols::circle(x, y, 1.8)).collect());
        }
    }
    let tag_width = word_width(&part.tag, Size::Tag);
    let function = wrapped(&part.function, s.w - tag_width - 12.0);
    let fits = function.len() == 1 && tag_width + word_width(&part.function, Size::Small) + 8.0 <= s.w;
    if fits {
        let whole = tag_width + 5.0 + word_width(&part.function, Size::Small);
        let left = (s.w - whole) / 2.0;
        s.word(left, 36.0, &part.tag, Size::Tag, Anchor::Start);
        s.word(left + tag_width + 5.0, 36.0, &part.function, Size::Small, Anchor::Start);
    } else {
        s.word(s.w / 2.0, 36.0, &part.tag, Size::Tag, Anchor::Middle);
    }
    s
}

/// A conductive part of the panel with one or two earth terminals: mounting plate, door. No terminal strip is as short.
pub fn is_bonded(part: &Part) -> bool {
    matches!(&part.kind, Kind::Strip(s) if s.terminals.len() <= 2) && part.place == Place::Panel
}

/// The same as drawn.
pub fn bonded(part: &Part) -> Shape {
    let terminals = part.terminals();
    let pitch = terminals.iter().map(|t| word_width(t, Size::Small) + 8.0).fold(PITCH, f64::max);
    let wide = pitch * terminals.len() as f64;
    let lines = wrapped(&part.function, (wide - 4.0).max(84.0));
    let text = widest(part, &lines);
    let mut s = Shape::new(text.max(wide) + 8.0, 76.0);
    for (n, name) in terminals.iter().enumerate() {
        let x = s.w / 2.0 + pitch * (n as f64 - (terminals.len() - 1) as f64 / 2.0);
        s.pin(name, x, Edge::Top, pitch / 2.0);
        s.mark(Line::Ink, symbols::earth(x, LEAD - 1.0));
    }
    s.title(s.w / 2.0, 52.0, &part.tag, &lines, Anchor::Middle);
    s
}
