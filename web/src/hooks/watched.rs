//! Reading something that changes while time passes, so that the component renders again when it does.

use super::use_frame;
use super::use_workshop;
use crate::store::Workshop;
use std::cell::RefCell;
use std::rc::Rc;
use yew::prelude::*;

/// What `read` finds, looked at once a frame: for what seldom changes and is a matter of structure, such as a list that
/// grows. What changes all the time is written into its nodes by `use_live`.
#[hook]
pub fn use_watched<T, F>(read: F) -> Rc<T>
where
    T: PartialEq + 'static,
    F: Fn(&Workshop) -> T + 'static,
{
    let shop = use_workshop();
    let update = use_force_update();
    let value = Rc::new(shop.with(&read));
    let latest = use_memo((), |()| RefCell::new(value.clone()));
    latest.replace(value.clone());
    use_frame((), move |workshop| {
        let next = read(workshop);
        if next != **latest.borrow() {
            latest.replace(Rc::new(next));
            update.force_update();
        }
    });
    value
}
