//! Over every sheet of the worked example: that it is one, and the way back.

use crate::hooks::{use_selector, use_workshop};
use crate::store::Command;
use crate::t;
use yew::prelude::*;

/// The bar; nothing while a person's own work is on the bench.
#[component]
pub fn ExampleBar() -> Html {
    let shop = use_workshop();
    let shown = use_selector(|workshop| workshop.on_example());
    if !*shown {
        return html! {};
    }
    let back = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Example(false)));
    html! {
        <div class="message" role="status">
            <p><strong>{ t!("example-title") }</strong>{ " " }{ t!("example-note") }</p>
            <button type="button" class="button-main" onclick={back}>{ t!("example-back") }</button>
        </div>
    }
}
