//! What a hand does at the machine itself: blocks the shaft, pushes an armature in. Each stays until it is pressed again.

use super::facts::tags;
use crate::hooks::{use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::model::{BenchAct, Kind};
use crate::store::{Command, Workshop};
use crate::t;
use yew::prelude::*;

/// Which motor.
#[derive(Properties, PartialEq)]
pub struct ByHandProps {
    /// Its tag.
    pub motor: AttrValue,
}

/// The toggles, and the word on them.
#[component]
pub fn ByHand(props: &ByHandProps) -> Html {
    let tag = props.motor.clone();
    let contactors = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Contactor(_))));
    html! {
        <div class="by-hand" role="group" aria-labelledby="by-hand-title">
            <p id="by-hand-title" class="faint small">{ t!("machine-by-hand") }</p>
            <div class="buttons">
                <Toggle name={t!("machine-jam")} on={BenchAct::Jam(tag.to_string()).to_string()}
                    off={BenchAct::Free(tag.to_string()).to_string()} state={Held::Jammed(tag.to_string())} />
                { for contactors.iter().map(|contactor| html! {
                    <Toggle key={contactor.clone()} name={t!("machine-push", tag = contactor)}
                        on={BenchAct::Push(contactor.clone()).to_string()}
                        off={BenchAct::Release(contactor.clone()).to_string()} state={Held::Pushed(contactor.clone())} />
                }) }
            </div>
        </div>
    }
}

/// What a toggle holds.
#[derive(Clone, PartialEq)]
enum Held {
    Jammed(String),
    Pushed(String),
}

impl Held {
    fn tag(&self) -> String {
        let (Held::Jammed(tag) | Held::Pushed(tag)) = self;
        tag.clone()
    }

    /// The word for what it is now.
    fn word(&self, workshop: &Workshop) -> &'static str {
        match (self, self.now(workshop)) {
            (Held::Jammed(_), true) => t!("machine-jammed"),
            (Held::Jammed(_), false) => t!("machine-free"),
            (Held::Pushed(_), true) => t!("machine-held-in"),
            (Held::Pushed(_), false) => t!("machine-let-go"),
        }
    }

    fn now(&self, workshop: &Workshop) -> bool {
        match self {
            Held::Jammed(tag) => workshop.bench().motor(tag).is_some_and(|motor| motor.jammed),
            Held::Pushed(tag) => workshop.bench().contactor(tag).is_some_and(|(_, _, pushed)| pushed),
        }
    }
}

#[derive(Properties, PartialEq)]
struct ToggleProps {
    name: AttrValue,
    /// Line of the act that begins it.
    on: AttrValue,
    /// Line of the act that ends it.
    off: AttrValue,
    state: Held,
}

/// A button that stays in until it is pressed again.
#[component]
fn Toggle(props: &ToggleProps) -> Html {
    let shop = use_workshop();
    let node = use_node_ref();
    use_live(props.state.clone(), {
        let node = node.clone();
        move |state| {
            let (a, b) = (state.clone(), state.clone());
            vec![
                Binding::attribute(node.clone(), "aria-pressed", move |w| Some(a.now(w).to_string())),
                // Shown by the style sheet under the name, of which it is no part.
                Binding::attribute(node, "data-word", move |w| Some(b.word(w).to_string())),
            ]
        }
    });
    let toggle = {
        let (on, off, state) = (props.on.clone(), props.off.clone(), props.state.clone());
        Callback::from(move |_: MouseEvent| {
            let line = if shop.with(|workshop| state.now(workshop)) { &off } else { &on };
            if let Ok(act) = BenchAct::parse(line) {
                shop.dispatch(Command::Act(act));
            }
        })
    };
    html! {
        <button type="button" ref={node} class="by-hand-toggle" onclick={toggle} aria-label={props.name.clone()}
            data-why={props.state.tag()}>
            { props.name.clone() }
        </button>
    }
}
