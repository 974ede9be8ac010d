//! The message on the page: something was refused, or done.

use crate::hooks::{use_selector, use_workshop};
use crate::store::Command;
use crate::t;
use yew::prelude::*;

/// The message, with a button that takes it away.
#[component]
pub fn NoticeBar() -> Html {
    let shop = use_workshop();
    let notice = use_selector(|workshop| workshop.notice().cloned());
    let dismiss = Callback::from(move |_: MouseEvent| shop.dispatch(Command::DismissNotice));
    let Some(notice) = (*notice).clone() else { return html! {} };
    let (role, sign) =
        if notice.refused { ("alert", t!("frame-refused")) } else { ("status", t!("frame-done")) };
    html! {
        <div class={classes!("message", "notice", notice.refused.then_some("notice-refused"))} {role}>
            <p>
                <span class="notice-sign">{ if notice.refused { "✗ " } else { "✓ " } }{ sign }{ ". " }</span>
                { notice.text }
            </p>
            <button type="button" onclick={dismiss}>{ t!("frame-close") }</button>
        </div>
    }
}
