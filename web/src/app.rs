//! The app: provides the workshop and the live layer, and draws the frame with the sheet in view.

use crate::frame::Frame;
use crate::hooks::{use_selector, use_workshop};
use crate::services::live::Live;
use crate::services::{address, opening, page, theme};
use crate::sheets::SheetInView;
use crate::store::{Command, ScreenAct, Shop};
use crate::t;
use yew::prelude::*;

/// The whole page.
#[component]
pub fn App() -> Html {
    let opened = use_state(|| None);
    {
        let opened = opened.clone();
        use_effect_with((), move |()| {
            wasm_bindgen_futures::spawn_local(async move { opened.set(Some(opening::open().await)) });
        });
    }
    match opened.as_ref() {
        None => html! { <p class="opening">{ t!("frame-opening") }</p> },
        Some(Err(problem)) => html! { <p class="opening" role="alert">{ problem.clone() }</p> },
        Some(Ok(shop)) => html! { <Opened shop={shop.clone()} /> },
    }
}

#[derive(Properties, PartialEq)]
struct OpenedProps {
    shop: Shop,
}

#[component]
fn Opened(props: &OpenedProps) -> Html {
    let live = use_memo(props.shop.clone(), |shop| Live::new(shop.clone()));
    use_effect_with(live.clone(), |live| live.start());
    html! {
        <ContextProvider<Shop> context={props.shop.clone()}>
            <ContextProvider<Live> context={(*live).clone()}>
                <Outside />
                <Frame><SheetInView /></Frame>
            </ContextProvider<Live>>
        </ContextProvider<Shop>>
    }
}

/// Keeps theme, job, place, hints and address of the page in step with the screen. Draws nothing.
#[component]
fn Outside() -> Html {
    let shop = use_workshop();
    let screen = use_selector(|workshop| (workshop.screen().theme, workshop.screen().sheet));
    let (light, sheet) = *screen;
    use_effect_with(light, |light| theme::apply(*light));
    let job = use_selector(|workshop| workshop.own().0.scenario().id.clone());
    use_effect_with((*job).clone(), |id| page::remember(opening::JOB, id));
    let place = use_selector(|workshop| workshop.place());
    use_effect_with(*place, |place| {
        page::remember(opening::PLACE, &place.map_or_else(String::new, |place| place.to_string()));
    });
    let hints = use_selector(|workshop| workshop.hints().words());
    use_effect_with((*hints).clone(), |words| page::remember(opening::HINTS, words));
    use_effect_with(sheet, |sheet| address::set(address::sheet(), *sheet));
    use_effect_with((), move |()| {
        let linked = shop.clone();
        let turned = move |sheet| shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
        let listener = address::listen(turned, move || opening::open_link(&linked));
        move || drop(listener)
    });
    html! {}
}
