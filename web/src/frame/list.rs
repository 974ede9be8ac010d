//! The list of drawings: the way between the sheets. A fault that is set shows here, and so on every sheet.

use super::sheet_name;
use crate::hooks::{use_selector, use_workshop};
use crate::store::{Command, ScreenAct, Sheet};
use crate::t;
use yew::prelude::*;

/// The list of drawings. The sheet in view is marked as the current page.
#[component]
pub fn ListOfDrawings() -> Html {
    let shop = use_workshop();
    let current = use_selector(|workshop| workshop.screen().sheet);
    let faults = use_selector(|workshop| workshop.faults().len());
    let closed = use_selector(|workshop| Sheet::ALL.map(|sheet| !sheet.is_open_in(workshop.scenario())));
    html! {
        <nav class="list" id="list" tabindex="-1" aria-label={t!("frame-list")}>
            <ol>
                { for Sheet::ALL.into_iter().zip(*closed).map(|(sheet, closed)| {
                    let shop = shop.clone();
                    let turn = Callback::from(move |_: MouseEvent| {
                        shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
                    });
                    let title = match closed {
                        true => t!("frame-list-closed").to_string(),
                        false => t!("frame-list-key", number = sheet.number()),
                    };
                    html! {
                        <li key={sheet.number()}>
                            <button type="button" onclick={turn} disabled={closed}
                                title={title}
                                aria-keyshortcuts={format!("Control+Shift+{}", sheet.number())}
                                aria-current={(*current == sheet).then_some("page")}>
                                <span class="list-number">{ sheet.number() }</span>
                                <span class="list-name">{ sheet_name(sheet) }</span>
                                if sheet == Sheet::Faults && *faults > 0 {
                                    <span class="list-faults">
                                        <span aria-hidden="true">{ format!("↯ {}", *faults) }</span>
                                        <span class="visually-hidden">{ t!("frame-faults-set", count = *faults) }</span>
                                    </span>
                                }
                            </button>
                        </li>
                    }
                }) }
            </ol>
        </nav>
    }
}
