//! The I/O list: address, name, terminal and device, and the bit as it is now.

use super::facts::{Facts, Row};
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::Thing;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// The list.
#[derive(Properties, PartialEq)]
pub struct IoListProps {
    /// What is known of the names.
    pub facts: Rc<Facts>,
}

/// The table of inputs, outputs and what lies inside the controller.
#[component]
pub fn IoList(props: &IoListProps) -> Html {
    let chosen = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Signal(name)) => Some(name.clone()),
        _ => None,
    });
    let rows = |inside: bool| {
        props.facts.rows.iter().filter(move |row| row.address.is_empty() == inside).map({
            let chosen = chosen.clone();
            move |row| {
                let chosen =
                    chosen.as_deref().is_some_and(|c| row.name.as_deref() == Some(c) || row.signal == c);
                html! { <IoLine key={format!("{}{:?}", row.address, row.name)} row={row.clone()} {chosen} /> }
            }
        })
    };
    let has_inside = props.facts.rows.iter().any(|row| row.address.is_empty());
    html! {
        <section class="io" aria-labelledby="io-title">
            <div class="heading"><h2 id="io-title">{ t!("program-io") }</h2></div>
            <table class="io-table">
                <thead><tr>
                    <th scope="col">{ t!("program-io-address") }</th>
                    <th scope="col">{ t!("program-io-name") }</th>
                    <th scope="col">{ t!("program-io-device") }</th>
                    <th scope="col" class="io-bit-cell">{ t!("program-io-bit") }</th>
                </tr></thead>
                <tbody>{ for rows(false) }</tbody>
                if has_inside {
                    <tbody>
                        <tr><th scope="rowgroup" colspan="4" class="io-inside">{ t!("program-io-inside") }</th></tr>
                        { for rows(true) }
                    </tbody>
                }
            </table>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct IoLineProps {
    row: Row,
    chosen: bool,
}

#[component]
fn IoLine(props: &IoLineProps) -> Html {
    let row = &props.row;
    let bit = use_node_ref();
    use_live(row.signal.clone(), {
        let bit = bit.clone();
        move |signal| {
            let (text, weight) = (signal.clone(), signal.clone());
            vec![
                Binding::text(bit.clone(), move |workshop| {
                    let value = workshop.bench().signal(&text);
                    value.map_or("–", |on| if on { "1" } else { "0" }).to_string()
                }),
                Binding::attribute(bit, "data-bit", move |workshop| {
                    workshop.bench().signal(&weight).map(|on| u8::from(on).to_string())
                }),
            ]
        }
    });
    let name = match (&row.name, &row.given) {
        (Some(name), _) => html! { name.clone() },
        (None, Some(given)) => {
            html! { <span class="io-missing">{ t!("program-io-undeclared", name = given) }</span> }
        }
        (None, None) => Html::default(),
    };
    html! {
        <tr class={classes!(props.chosen.then_some("io-chosen"))}>
            <td class="mono">{ row.address.clone() }</td>
            <th scope="row">{ name }</th>
            <td class="io-device">
                { format!("{} {}", row.terminal, row.device).trim().to_string() }
                if row.unwired { <span class="io-unwired">{ t!("program-io-unwired") }</span> }
            </td>
            <td class="io-bit-cell"><span ref={bit} class="io-bit mono"></span></td>
        </tr>
    }
}
