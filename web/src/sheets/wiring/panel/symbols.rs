//! Symbols as SVG paths, for vertical conductors: after IEC 60617 with the moving part hinged below; where the practice is North
//! American, those of `american.rs`.
//!
//! Each is drawn between `top` and `bottom` at `x`; the middle 20 units hold the symbol, the rest is lead.

use super::american;
use crate::sheets::wiring::class::Practice;

/// Half the height of a contact symbol.
const HALF: f64 = 10.0;

fn leads(x: f64, top: f64, bottom: f64, half: f64) -> (f64, f64, String) {
    let middle = (top + bottom) / 2.0;
    let (a, b) = (middle - half, middle + half);
    (a, b, format!("M{x} {top}V{a}M{x} {b}V{bottom}"))
}

/// Make contact.
pub fn make_contact(practice: Practice, x: f64, top: f64, bottom: f64) -> String {
    if practice.is_american() { american::contact(x, top, bottom, true) } else { blade(x, top, bottom) }
}

/// Make contact (S00227).
fn blade(x: f64, top: f64, bottom: f64) -> String {
    let (a, b, d) = leads(x, top, bottom, HALF);
    format!("{d}M{x} {b}L{} {}", x - 7.0, a + 1.0)
}

/// Break contact (S00229).
pub fn break_contact(practice: Practice, x: f64, top: f64, bottom: f64) -> String {
    if practice.is_american() {
        return american::contact(x, top, bottom, false);
    }
    let (a, b, d) = leads(x, top, bottom, HALF);
    format!("{d}M{x} {a}H{}M{x} {b}L{} {}", x + 6.5, x + 5.0, a - 3.0)
}

/// Changeover contact, break before make (S00230): the break side at `x`, the make side at `end`, the common between.
pub fn changeover_contact(x: f64, end: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0;
    let (a, b, foot) = (middle - HALF, middle + HALF, (x + end) / 2.0);
    format!(
        "M{x} {top}V{a}H{}M{end} {top}V{a}H{}M{foot} {bottom}V{b}L{} {}",
        foot - 3.5,
        foot + 3.5,
        foot - 5.0,
        a - 3.0
    )
}

/// A contact that is delayed as it operates, or as it is released (S00243, S00244): an arc on its link that catches the
/// movement which is delayed.
pub fn delayed(x: f64, y: f64, released: bool) -> String {
    let bend = if released { -4.0 } else { 4.0 };
    format!("M{x} {}q{bend} 4 0 8", y - 4.0)
}

/// Beside a coil that operates slowly (S00312): a crossed box, to the left of a coil at `x`.
pub fn slow_operating(x: f64, middle: f64) -> String {
    format!("M{} {}h-4v12h4M{} {}l4 12m0 -12l-4 12", x - 8.0, middle - 6.0, x - 12.0, middle - 6.0)
}

/// Beside a coil that releases slowly (S00311): a filled box, to the left of a coil at `x`.
pub fn slow_releasing(x: f64, middle: f64) -> String {
    format!("M{} {}h-4v12h4Z", x - 8.0, middle - 6.0)
}

/// Main make contact of a contactor (S00284): the contactor function is the half circle at the fixed contact.
pub fn contactor_contact(practice: Practice, x: f64, top: f64, bottom: f64) -> String {
    if practice.is_american() {
        return american::contact(x, top, bottom, true);
    }
    let (a, _, _) = leads(x, top, bottom, HALF);
    format!("{}M{x} {}a2.6 2.6 0 0 0 0 5.2", blade(x, top, bottom), a - 5.2)
}

/// Switch-disconnector (S00290): bar and circle at the fixed contact.
pub fn switch_disconnector(x: f64, top: f64, bottom: f64) -> String {
    let (a, b, _) = leads(x, top, bottom, HALF);
    format!(
        "M{x} {top}V{}M{} {a}H{}M{} {}a2 2 0 1 0 0.01 0M{x} {b}L{} {}M{x} {b}V{bottom}",
        a - 4.0,
        x - 4.0,
        x + 4.0,
        x,
        a - 4.0,
        x - 7.0,
        a + 2.0
    )
}

/// Fuse switch-disconnector (S00372): the fuse sits on the blade.
pub fn fuse_disconnector(x: f64, top: f64, bottom: f64) -> String {
    let (a, b, d) = leads(x, top, bottom, HALF + 1.0);
    // The blade runs from (x, b) to (x - 7, a + 1); the fuse is a box of 3 by 9 around its middle, along it.
    let (dx, dy) = (-7.0, a + 1.0 - b);
    let length = (dx * dx + dy * dy).sqrt();
    let (ux, uy) = (dx / length, dy / length);
    let (mx, my) = (x + dx / 2.0, b + dy / 2.0);
    let corner = |along: f64, across: f64| {
        format!("{:.2} {:.2}", mx + ux * along - uy * across, my + uy * along + ux * across)
    };
    format!(
        "{d}M{} {a}H{}M{x} {b}l{dx} {dy}M{}L{}L{}L{}Z",
        x - 4.0,
        x + 4.0,
        corner(-5.0, 2.2),
        corner(5.0, 2.2),
        corner(5.0, -2.2),
        corner(-5.0, -2.2)
    )
}

/// Circuit-breaker (S00287): a cross at the fixed contact.
pub fn breaker(x: f64, top: f64, bottom: f64) -> String {
    let (a, _, _) = leads(x, top, bottom, HALF);
    format!("{}M{} {}l5 5m0 -5l-5 5", blade(x, top, bottom), x - 2.5, a - 2.5)
}

/// Motor-protective breaker: a circuit-breaker with a thermal release behind it.
pub fn motor_breaker(practice: Practice, x: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0 + 4.0;
    breaker(x, top, middle) + &heater(practice, x, middle, bottom)
}

/// Positive opening (IEC 60947-5-1 Annex K): an arrow in a circle.
pub fn positive_opening(x: f64, y: f64) -> String {
    format!("{}M{} {y}h5m-2 -1.8l2 1.8l-2 1.8", circle(x, y, 4.0), x - 2.5)
}

/// Fuse (S00362).
pub fn fuse(x: f64, top: f64, bottom: f64) -> String {
    let middle = (top + bottom) / 2.0;
    format!("M{x} {top}V{bottom}M{} {}h6v18h-6Z", x - 3.0, middle - 9.0)
}

/// Operating device, a relay coil (S00305).
pub fn coil(practice: Practice, x: f64, top: f64, bottom: f64) -> String {
    if practice.is_american() {
        return american::coil(x, top, bottom);
    }
    let middle = (top + bottom) / 2.0;
    let (a, b) = (middle - 6.0, middle + 6.0);
    format!("M{x} {top}V{a}M{x} {b}V{bottom}M{} {a}h16v12h-16Z", x - 8.0)
}

/// Thermal element of one pole (S00325 shows the operating device; this is its heater).
pub fn heater(practice: Practice, x: f64, top: f64, bottom: f64) -> String {
    if practice.is_american() {
        return american::heater(x, top, bottom);
    }
    let middle = (top + bottom) / 2.0;
    format!("M{x} {top}V{}h-4.5v8h4.5V{bottom}", middle - 4.0)
}

/// Two windings as circles (S00842), primary above.
pub fn transformer(practice: Practice, x: f64, y: f64) -> String {
    if practice.is_american() {
        return american::transformer(x, y);
    }
    let circle = |cy: f64| format!("M{} {cy}a9 9 0 1 0 18 0a9 9 0 1 0 -18 0", x - 9.0);
    format!("{}{}", circle(y - 6.0), circle(y + 6.0))
}

/// AC to DC converter (S00894 with qualifiers), 26 by 26 with its middle at `x`, `y`.
pub fn converter(x: f64, y: f64) -> String {
    format!(
        "M{} {}h26v26h-26ZM{} {}l26 -26M{} {}q2.5 -4.5 5 0t5 0M{} {}h9M{} {}h2m1.5 0h2m1.5 0h2",
        x - 13.0,
        y - 13.0,
        x - 13.0,
        y + 13.0,
        x - 11.0,
        y - 6.0,
        x + 1.0,
        y + 6.0,
        x + 1.0,
        y + 9.0,
    )
}

/// Protective earth (S00202), hanging at `x`, `y`.
pub fn earth(x: f64, y: f64) -> String {
    format!("M{x} {y}v4M{} {}h10M{} {}h6M{} {}h2", x - 5.0, y + 4.0, x - 3.0, y + 6.5, x - 1.0, y + 9.0)
}

/// A circle.
pub fn circle(x: f64, y: f64, r: f64) -> String {
    format!("M{} {y}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0", x - r, d = 2.0 * r)
}

/// A lamp (S00965), a circle of radius `r`.
pub fn lamp(practice: Practice, x: f64, y: f64, r: f64) -> String {
    circle(x, y, r) + &lamp_mark(practice, x, y, r)
}

/// What makes a lamp of a circle of radius `r`: a cross in it, or rays around it.
pub fn lamp_mark(practice: Practice, x: f64, y: f64, r: f64) -> String {
    if practice.is_american() {
        return american::rays(x, y, r);
    }
    let k = r * std::f64::consts::FRAC_1_SQRT_2;
    format!("M{:.2} {:.2}l{s:.2} {s:.2}m0 -{s:.2}l-{s:.2} {s:.2}", x - k, y - k, s = 2.0 * k)
}

/// Position switch (qualifier of S00259): a triangle at the blade, its point at `x`, `y`.
pub fn position(x: f64, y: f64) -> String {
    format!("M{x} {y}l-7 -3.5v7Z")
}

/// Shoe of a brake, its back at `x`, `y`.
pub fn brake_shoe(x: f64, y: f64) -> String {
    format!("M{x} {}v16M{} {}q4 9 0 18", y - 8.0, x - 4.0, y - 9.0)
}
