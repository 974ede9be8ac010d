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
    html! {
        <nav class="list" id="list" tabindex="-1" aria-label={t!("frame-list")}>
            <ol>
                { for Sheet::ALL.into_iter().map(|sheet| {
                    let shop = shop.clone();
                    let turn = Callback::from(move |_: MouseEvent| {
                        shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
                    });
                    html! {
                        <li key={sheet.number()}>
                            <button type="button" onclick={turn}
                                title={t!("frame-list-key", number = sheet.number())}
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
