//! What a teacher would say about the program. It never blocks.

use crate::hooks::use_workshop;
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use sealin_ladder::Remark;
use yew::prelude::*;

/// The remarks.
#[derive(Properties, PartialEq)]
pub struct RemarksProps {
    /// In the order of the rungs.
    pub remarks: Vec<Remark>,
}

/// Each remark with its why; choosing one goes to its rung.
#[component]
pub fn Remarks(props: &RemarksProps) -> Html {
    let shop = use_workshop();
    if props.remarks.is_empty() {
        return Html::default();
    }
    html! {
        <section class="remarks" aria-labelledby="remarks-title">
            <div class="heading"><h2 id="remarks-title">{ t!("program-remarks") }</h2></div>
            { for props.remarks.iter().map(|remark| html! {
                <div class="remark">
                    <h3>{ remark.text.clone() }</h3>
                    <p class="small faint">{ remark.why.clone() }</p>
                    if let Some(rung) = remark.rung {
                        <button type="button" class="button-quiet remark-go" onclick={
                            let shop = shop.clone();
                            Callback::from(move |_: MouseEvent| {
                                let thing = Thing::Rung(rung as usize + 1);
                                shop.dispatch(Command::Screen(ScreenAct::Show(Sheet::Program, thing)));
                            })
                        }>{ t!("program-go-to-rung", number = rung + 1) }</button>
                    }
                </div>
            }) }
        </section>
    }
}
