//! Nodes that follow the bench.

use crate::services::live::{Binding, Live};
use crate::store::Workshop;
use std::rc::Rc;
use yew::prelude::*;

/// Registers bindings with the live layer for as long as the component is mounted; made anew when `deps` change.
///
/// ```ignore
/// let node = use_node_ref();
/// use_live(tag.clone(), {
///     let node = node.clone();
///     move |tag| vec![Binding::class(node, "is-lit", lit(tag))]
/// });
/// ```
#[hook]
pub fn use_live<D, F>(deps: D, bindings: F)
where
    D: PartialEq + 'static,
    F: FnOnce(&D) -> Vec<Binding> + 'static,
{
    let live = use_context::<Live>();
    use_effect_with(deps, move |deps| {
        let registered = live.map(|live| live.register(bindings(deps)));
        move || drop(registered)
    });
}

/// Calls `draw` once a frame while mounted, after the bench has been stepped: for a canvas. Made anew when `deps` change.
#[hook]
pub fn use_frame<D, F>(deps: D, draw: F)
where
    D: PartialEq + 'static,
    F: Fn(&Workshop) + 'static,
{
    use_live(deps, move |_| vec![Binding::frame(Rc::new(draw))]);
}
