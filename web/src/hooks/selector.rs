//! Reading a part of the workshop so that the component renders again when that part changes, and only then.

use super::use_workshop;
use crate::store::Workshop;
use std::cell::RefCell;
use std::rc::Rc;
use yew::prelude::*;

type Select<T> = Rc<dyn Fn(&Workshop) -> T>;

/// What `select` reads from the workshop. Checked after every command, not while time passes.
#[hook]
pub fn use_selector<T, F>(select: F) -> Rc<T>
where
    T: PartialEq + 'static,
    F: Fn(&Workshop) -> T + 'static,
{
    let shop = use_workshop();
    let update = use_force_update();
    let select: Select<T> = Rc::new(select);
    let value = Rc::new(shop.with(|workshop| select(workshop)));
    let latest = use_memo((), |()| RefCell::new((select.clone(), value.clone())));
    *latest.borrow_mut() = (select, value.clone());
    use_effect_with(shop, move |shop| {
        let seen = shop.clone();
        let subscription = shop.subscribe(move || {
            let (select, value) = latest.borrow().clone();
            let next = seen.with(|workshop| select(workshop));
            if next != *value {
                latest.borrow_mut().1 = Rc::new(next);
                update.force_update();
            }
        });
        move || drop(subscription)
    });
    value
}
