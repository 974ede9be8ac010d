//! Keys and canonical bytes of push-buttons and lamps.

use super::{Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Button, Colour, Form, Lamp};

pub(super) fn button<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Button {
    Button { form: [Form::Make, Form::Break][r.word(t, "contact", &["make", "break"])], colour: colour(r, t) }
}

pub(super) fn write_button(w: &mut Writer, x: &Button) {
    numbers(w, 7, &[x.form as u32, x.colour as u32]);
}

pub(super) fn lamp<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Lamp {
    Lamp {
        rated_mv: mega(r, t, "rated_mv"),
        resistance_mohm: mega(r, t, "resistance_mohm"),
        colour: colour(r, t),
    }
}

pub(super) fn write_lamp(w: &mut Writer, x: &Lamp) {
    numbers(w, 8, &[x.rated_mv, x.resistance_mohm, x.colour as u32]);
}

fn colour<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Colour {
    let all = [Colour::Black, Colour::White, Colour::Red, Colour::Yellow, Colour::Green, Colour::Blue];
    all[r.word(t, "colour", &["black", "white", "red", "yellow", "green", "blue"])]
}
