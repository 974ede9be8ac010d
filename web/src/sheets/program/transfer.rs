//! Bringing the program into the controller, and whether the controller runs what is on the sheet.

use super::sketch::Standing;
use crate::hooks::use_workshop;
use crate::store::Command;
use crate::t;
use yew::prelude::*;

/// How sheet and controller stand to each other.
#[derive(Properties, PartialEq)]
pub struct TransferProps {
    /// As compared.
    pub standing: Standing,
}

/// What the controller runs, and the two ways to transfer.
#[component]
pub fn Transfer(props: &TransferProps) -> Html {
    let shop = use_workshop();
    let transfer = |cold: bool| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Transfer { cold }))
    };
    let differs = matches!(props.standing, Standing::Differs | Standing::Wrong);
    let (sign, text) = (if differs { "≠" } else { "=" }, words(props.standing));
    let disabled = props.standing == Standing::Wrong;
    html! {
        <div class={classes!("transfer", differs.then_some("transfer-differs"))}>
            <p class="transfer-text" role="status"><span class="transfer-sign" aria-hidden="true">{ sign }</span>{ text }</p>
            <div class="transfer-buttons">
                <button type="button" class={classes!(differs.then_some("button-main"))} {disabled}
                    onclick={transfer(true)} title={t!("program-cold-why")}>{ t!("program-transfer-cold") }</button>
                <button type="button" class="transfer-warm" {disabled} onclick={transfer(false)}
                    title={t!("program-warm-why")}>
                    <span>{ t!("program-transfer-warm") }</span>
                    <span class="faint small">{ t!("program-warm-keeps") }</span>
                </button>
            </div>
        </div>
    }
}

/// How sheet and controller stand to each other, in words.
pub fn words(standing: Standing) -> &'static str {
    match standing {
        Standing::Same => t!("program-same"),
        Standing::SameMeaning => t!("program-same-meaning"),
        Standing::Differs => t!("program-differs"),
        Standing::Wrong => t!("program-wrong"),
    }
}
