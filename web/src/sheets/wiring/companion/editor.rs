//! The row under a conductor of one's own: its number, colour and section can be changed.

use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::words::colour;
use crate::t;
use crate::text::quantity::section_bare;
use sealin_core::plan::{Conductor, Insulation};
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// Nominal cross-sections, hundredths of mm² (IEC 60228, class 5).
const SECTIONS: [u32; 8] = [50, 75, 100, 150, 250, 400, 600, 1000];
/// Longest number that a ferrule marker takes.
const LONGEST: &str = "8";

/// A conductor that can be changed.
#[derive(Properties, PartialEq)]
pub struct EditorProps {
    /// The conductor.
    pub conductor: Conductor,
    /// What is asked.
    pub ask: Asking,
}

/// Number, colour and section of a conductor.
#[component]
pub fn Editor(props: &EditorProps) -> Html {
    let c = &props.conductor;
    let alter = |change: fn(&mut Conductor, String)| {
        let (ask, c) = (props.ask.clone(), c.clone());
        move |value: String| {
            let mut after = c.clone();
            change(&mut after, value);
            ask.emit(Ask::Alter(after));
        }
    };
    let number = alter(|c, value| c.number = value.trim().to_string());
    let insulation = alter(|c, value| {
        if let Some(found) = Insulation::parse(&value) {
            c.colour = found;
        }
    });
    let section = alter(|c, value| {
        if let Ok(found) = value.parse() {
            c.section_mm2_x100 = found;
        }
    });
    let from_input = move |event: Event| {
        if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
            number(input.value());
        }
    };
    let chosen = |event: &Event| event.target_dyn_into::<HtmlSelectElement>().map(|select| select.value());
    let from_colour = move |event: Event| {
        if let Some(value) = chosen(&event) {
            insulation(value);
        }
    };
    let from_section = move |event: Event| {
        if let Some(value) = chosen(&event) {
            section(value);
        }
    };
    let remove = {
        let ask = props.ask.clone();
        Callback::from(move |_: MouseEvent| ask.emit(Ask::Remove))
    };
    let mut sections = SECTIONS.to_vec();
    if !sections.contains(&c.section_mm2_x100) {
        sections.push(c.section_mm2_x100);
        sections.sort_unstable();
    }
    html! {
        <tr class="schedule-editor">
            <td colspan="6">
                <div>
                    <label>
                        <span>{ t!("wiring-edit-number") }</span>
                        <input type="text" class="mono" value={c.number.clone()} maxlength={LONGEST} autocomplete="off"
                            onchange={from_input} />
                    </label>
                    <label>
                        <span>{ t!("wiring-edit-colour") }</span>
                        <select onchange={from_colour}>
                            { for Insulation::ALL.iter().map(|k| html! {
                                <option value={k.word()} selected={*k == c.colour}>{ colour(*k) }</option>
                            }) }
                        </select>
                    </label>
                    <label>
                        <span>{ t!("wiring-column-section") }</span>
                        <select onchange={from_section}>
                            { for sections.iter().map(|s| html! {
                                <option value={s.to_string()} selected={*s == c.section_mm2_x100}>
                                    { section_bare(*s) }
                                </option>
                            }) }
                        </select>
                    </label>
                    <button type="button" onclick={remove}>{ t!("wiring-remove") }</button>
                </div>
            </td>
        </tr>
    }
}
