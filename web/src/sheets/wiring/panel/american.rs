//! Symbols in North American practice (IEEE Std 315, NFPA 79), where they differ from those of IEC 60617; drawn alike, for vertical
//! conductors.

use super::symbols::circle;

/// Half the gap of a contact, and half the length of its bars.
const GAP: f64 = 4.0;
const BAR: f64 = 7.0;
/// Radius of a terminal of a push-button, and from the middle to the middle of it.
const TERMINAL: f64 = 2.4;
const APART: f64 = 7.0;

/// A contact that is not worked by hand: two bars, with a stroke through them where it opens as it is operated.
pub fn contact(x: f64, top: f64, bottom: f64, make: bool) -> String {
    let (middle, left, bar) = ((top + bottom) / 2.0, x - BAR, 2.0 * BAR);
    let (a, b) = (middle - GAP, middle + GAP);
    let stroke = if make { String::new() } else { format!("M{left} {}l{bar} -{}", b + GAP, 4.0 * GAP) };
    format!("M{x} {top}V{a}M{x} {b}V{bottom}M{left} {a}h{bar}M{left} {b}h{bar}{stroke}")
}

/// Joins the bars of a contact that is closed now.
pub fn closed(x: f64, middle: f64) -> String {
    format!("M{x} {}v{}", middle - GAP, 2.0 * GAP)
}

/// The terminals of a contact that is worked by hand.
pub fn button(x: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0;
    let (a, b) = (middle - APART, middle + APART);
    let ends = circle(x, a, TERMINAL) + &circle(x, b, TERMINAL);
    format!("M{x} {top}V{}M{x} {}V{bottom}{ends}", a - TERMINAL, b + TERMINAL)
}

/// Where the bridge of such a contact stands: at the terminals where it is closed, else off them; a make contact is closed from
/// the side of the hand.
pub fn bridge_at(x: f64, make: bool, closed: bool) -> f64 {
    let off = if closed { TERMINAL } else { 2.5 * TERMINAL };
    if make { x - off } else { x + off }
}

/// The bridge of such a contact.
pub fn bridge(x: f64, middle: f64, make: bool, closed: bool) -> String {
    let (at, half) = (bridge_at(x, make, closed), APART + TERMINAL);
    format!("M{at} {}v{}", middle - half, 2.0 * half)
}

/// A coil: a circle.
pub fn coil(x: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0;
    format!("{}M{x} {top}V{}M{x} {}V{bottom}", circle(x, middle, 8.0), middle - 8.0, middle + 8.0)
}

/// The heater of an overload: two arcs, back to back.
pub fn heater(x: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0;
    format!("M{x} {top}V{}a4 4 0 0 1 0 8M{x} {bottom}V{}a4 4 0 0 1 0 -8", middle - 9.0, middle + 9.0)
}

/// The rays of a pilot light around a circle of radius `r`.
pub fn rays(x: f64, y: f64, r: f64) -> String {
    let k = r * std::f64::consts::FRAC_1_SQRT_2;
    let ray = |sx: f64, sy: f64| {
        let long = 0.3 * r;
        format!("M{:.2} {:.2}l{:.2} {:.2}", x + sx * k, y + sy * k, sx * long, sy * long)
    };
    ray(1.0, -1.0) + &ray(1.0, 1.0) + &ray(-1.0, 1.0) + &ray(-1.0, -1.0)
}

/// Two windings as rows of arcs, the primary above, the core between.
pub fn transformer(x: f64, y: f64) -> String {
    let row = |y: f64, sweep: u8| format!("M{} {y}", x - 12.0) + &format!("a3 3 0 0 {sweep} 6 0").repeat(4);
    let core = format!("M{} {}h24M{0} {}h24", x - 12.0, y - 1.5, y + 1.5);
    row(y - 5.5, 0) + &row(y + 5.5, 1) + &core
}
