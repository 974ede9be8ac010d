//! The app: provides the workshop and the live layer, and draws the frame with the sheet in view.

use crate::frame::Frame;
use crate::services::live::Live;
use crate::sheets::SheetInView;
use crate::store::model::Scenario;
use crate::store::{Shop, Workshop};
use std::rc::Rc;
use yew::prelude::*;

/// The whole page.
#[component]
pub fn App() -> Html {
    let shop = use_memo((), |()| Shop::new(Workshop::new(Rc::new(Scenario::default()), 1)));
    let live = use_memo((), |()| Live::new((*shop).clone()));
    {
        let live = live.clone();
        use_effect_with((), move |()| live.start());
    }
    html! {
        <ContextProvider<Shop> context={(*shop).clone()}>
            <ContextProvider<Live> context={(*live).clone()}>
                <Frame><SheetInView /></Frame>
            </ContextProvider<Live>>
        </ContextProvider<Shop>>
    }
}
