//! A drawing with one companion beside it; on a narrow screen the companion is a drawer.

use crate::hooks::{use_selector, use_workshop};
use crate::store::{Command, ScreenAct};
use yew::prelude::*;

/// A drawing and its companion.
#[derive(Properties, PartialEq)]
pub struct SplitProps {
    /// The drawing.
    pub children: Html,
    /// What stands beside it.
    pub companion: Html,
    /// Name of the companion; the drawer's handle carries it.
    pub companion_name: AttrValue,
}

/// Lays a drawing and its companion out for the width there is.
#[component]
pub fn Split(props: &SplitProps) -> Html {
    let shop = use_workshop();
    let open = use_selector(|workshop| workshop.screen().companion_open);
    let toggle = {
        let open = *open;
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Screen(ScreenAct::Companion(!open))))
    };
    html! {
        <div class={classes!("split", open.then_some("split-open"))}>
            <div class="split-drawing">{ props.children.clone() }</div>
            <div class="split-tray">
                <button type="button" class="split-handle" aria-expanded={open.to_string()}
                    aria-controls="companion" onclick={toggle}>
                    <span aria-hidden="true">{ if *open { "▾" } else { "▴" } }</span>
                    { props.companion_name.clone() }
                </button>
                <aside class="split-companion" id="companion" aria-label={props.companion_name.clone()}>
                    { props.companion.clone() }
                </aside>
            </div>
        </div>
    }
}
