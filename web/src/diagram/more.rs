//! Something that is opened on demand; what it holds is on the page only while it is open.

use web_sys::HtmlDetailsElement;
use yew::prelude::*;

/// A heading and what it opens.
#[derive(Properties, PartialEq)]
pub struct MoreProps {
    /// What is always seen.
    pub summary: Html,
    /// What is seen while it is open.
    pub children: Html,
    /// Classes besides.
    #[prop_or_default]
    pub class: Classes,
    /// Told when it is opened.
    #[prop_or_default]
    pub on_open: Callback<()>,
}

/// The heading, and the rest while it is open.
#[component]
pub fn More(props: &MoreProps) -> Html {
    let open = use_state_eq(|| false);
    let toggle = {
        let (open, on_open) = (open.clone(), props.on_open.clone());
        Callback::from(move |event: Event| {
            let is_open = event.target_dyn_into::<HtmlDetailsElement>().is_some_and(|details| details.open());
            open.set(is_open);
            if is_open {
                on_open.emit(());
            }
        })
    };
    html! {
        <details class={classes!("diagram-more", props.class.clone())} ontoggle={toggle}>
            <summary>{ props.summary.clone() }</summary>
            if *open { { props.children.clone() } }
        </details>
    }
}
