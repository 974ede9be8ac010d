//! The size of an element on the page.

use std::cell::Cell;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use web_sys::{Element, ResizeObserver};
use yew::prelude::*;

/// The size of an element, kept by an observer so that no frame has to ask for the layout.
#[hook]
pub fn use_size(node: &NodeRef) -> Rc<Cell<(f64, f64)>> {
    let size = use_memo((), |()| Cell::new((0.0, 0.0)));
    use_effect_with((), {
        let (node, size) = (node.clone(), size.clone());
        move |()| {
            let observed = node.cast::<Element>().map(|element| {
                let rect = element.get_bounding_client_rect();
                size.set((rect.width(), rect.height()));
                let seen = element.clone();
                let call = Closure::<dyn FnMut()>::new(move || {
                    size.set((f64::from(seen.client_width()), f64::from(seen.client_height())));
                });
                let observer = ResizeObserver::new(call.as_ref().unchecked_ref()).ok();
                if let Some(observer) = &observer {
                    observer.observe(&element);
                }
                (observer, call)
            });
            move || {
                if let Some((Some(observer), _call)) = observed {
                    observer.disconnect();
                }
            }
        }
    });
    size
}
