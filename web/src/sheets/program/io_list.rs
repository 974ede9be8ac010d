//! The I/O list: address, name, terminal and device, and the bit as it is now.

use super::facts::{Facts, Row};
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::Thing;
use crate::t;
use std::rc::Rc;
use web_sys::{Element, ScrollIntoViewOptions, ScrollLogicalPosition};
use yew::prelude::*;

/// The list.
#[derive(Properties, PartialEq)]
pub struct IoListProps {
    /// What is known of the names.
    pub facts: Rc<Facts>,
    /// Declares a name of the list.
    pub on_declare: Callback<Row>,
}

/// The table of inputs, outputs and what lies inside the controller.
#[component]
pub fn IoList(props: &IoListProps) -> Html {
    let chosen = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Signal(name)) => Some((name.clone(), workshop.screen().shown)),
        _ => None,
    });
    let rows = |inside: bool| {
        props.facts.rows.iter().filter(move |row| row.address.is_empty() == inside).map({
            let chosen = chosen.clone();
            move |row| {
                let declarable = row.given.as_ref().is_some_and(|given| props.facts.undeclared(given) == Some(row));
                let on_declare = declarable.then(|| props.on_declare.clone());
                let named = |name: &String| row.name.as_ref() == Some(name) || row.signal == *name;
                let chosen =
                    chosen.as_ref().as_ref().filter(|(name, _)| named(name)).map(|(_, shown)| *shown);
                html! { <IoLine key={format!("{}{:?}", row.address, row.name)} row={row.clone()} {chosen} {on_declare} /> }
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
    /// It is chosen; the number counts the times that it was asked for.
    chosen: Option<u32>,
    /// Declares it; none where that cannot be done.
    on_declare: Option<Callback<Row>>,
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
    let line = use_node_ref();
    use_effect_with(props.chosen, {
        let line = line.clone();
        move |chosen| {
            if let Some(line) = line.cast::<Element>().filter(|_| chosen.is_some()) {
                let options = ScrollIntoViewOptions::new();
                options.set_block(ScrollLogicalPosition::Nearest);
                line.scroll_into_view_with_scroll_into_view_options(&options);
            }
        }
    });
    let name = match (&row.name, &row.given) {
        (Some(name), _) => html! { name.clone() },
        (None, Some(given)) => {
            let declare = props.on_declare.as_ref().map(|on_declare| {
                let row = row.clone();
                on_declare.reform(move |_: MouseEvent| row.clone())
            });
            html! {
                <>
                    <span class="io-missing">{ t!("program-io-undeclared", name = given) }</span>
                    if let Some(onclick) = declare {
                        <button type="button" class="io-declare" {onclick}
                            aria-label={t!("program-declare-name", name = given)}>{ t!("program-declare") }</button>
                    }
                </>
            }
        }
        (None, None) => Html::default(),
    };
    html! {
        <tr ref={line} class={classes!(props.chosen.map(|_| "io-chosen"))}>
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
