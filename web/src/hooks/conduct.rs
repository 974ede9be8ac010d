//! What counts over all lines of the log, worked out anew with each thing done and not while time passes.

use super::{use_selector, use_workshop};
use sealin_exercise::conduct::Conduct;
use std::rc::Rc;
use yew::prelude::*;

/// How the work in progress was done so far.
#[hook]
pub fn use_conduct() -> Rc<Conduct> {
    let shop = use_workshop();
    let entries = use_selector(|workshop| (workshop.epoch(), workshop.session().acts()));
    use_memo(*entries, |_| shop.with(|workshop| workshop.session().conduct()))
}
