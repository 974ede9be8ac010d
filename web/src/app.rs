//! The app: provides the workshop and the live layer, and draws the frame with the sheet in view.

use crate::frame::Frame;
use crate::hooks::use_selector;
use crate::services::live::Live;
use crate::services::{address, theme};
use crate::sheets::SheetInView;
use crate::store::model::Scenario;
use crate::store::{Command, ScreenAct, Shop, Workshop};
use std::rc::Rc;
use yew::prelude::*;

/// The whole page.
#[component]
pub fn App() -> Html {
    let shop = use_memo((), |()| {
        let shop = Shop::new(Workshop::new(Rc::new(Scenario::default()), 1));
        shop.dispatch(Command::Screen(ScreenAct::Theme(theme::remembered())));
        if let Some(sheet) = address::sheet() {
            shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
        }
        shop
    });
    let live = use_memo((), |()| Live::new((*shop).clone()));
    {
        let live = live.clone();
        use_effect_with((), move |()| live.start());
    }
    html! {
        <ContextProvider<Shop> context={(*shop).clone()}>
            <ContextProvider<Live> context={(*live).clone()}>
                <Outside />
                <Frame><SheetInView /></Frame>
            </ContextProvider<Live>>
        </ContextProvider<Shop>>
    }
}

/// Keeps theme and address of the page in step with the screen. Draws nothing.
#[component]
fn Outside() -> Html {
    let shop = crate::hooks::use_workshop();
    let screen = use_selector(|workshop| (workshop.screen().theme, workshop.screen().sheet));
    let (light, sheet) = *screen;
    use_effect_with(light, |light| theme::apply(*light));
    use_effect_with(sheet, |sheet| address::set(address::sheet(), *sheet));
    use_effect_with((), move |()| {
        let listener = address::listen(move |sheet| shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet))));
        move || drop(listener)
    });
    html! {}
}
