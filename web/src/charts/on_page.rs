//! What both charts need on the page: a canvas that is drawn where its picture has changed, and a table that is read
//! when it is opened.

use crate::hooks::{use_frame, use_size};
use crate::services::canvas::{Inkpot, Inks, Paper, with_paper};
use crate::store::Workshop;
use std::cell::RefCell;
use web_sys::HtmlCanvasElement;
use yew::prelude::*;

/// The canvas of a chart of the device `tag`: `read` gives the picture of a moment, `paint` draws it.
#[hook]
pub fn use_chart<P: PartialEq + 'static>(
    tag: &AttrValue,
    read: fn(&Workshop, &str) -> Option<P>,
    paint: fn(&Paper<'_>, &Inks, &P),
) -> NodeRef {
    let canvas = use_node_ref();
    let size = use_size(&canvas);
    let (node, of) = (canvas.clone(), tag.clone());
    let (drawn, inkpot) = (RefCell::new(None), Inkpot::default());
    use_frame(tag.clone(), move |workshop: &Workshop| {
        let Some(element) = node.cast::<HtmlCanvasElement>() else { return };
        let Some(picture) = read(workshop, &of) else { return };
        let now = Some((picture, size.get(), inkpot.inks(&element)));
        if *drawn.borrow() != now {
            if let Some((picture, size, inks)) = &now {
                with_paper(&element, *size, inks, |paper| paint(paper, inks, picture));
            }
            drawn.replace(now);
        }
    });
    canvas
}

/// How often something was read, what to call when it is opened, and what to read it again with.
#[hook]
pub fn use_reading() -> (u32, Callback<()>, Callback<MouseEvent>) {
    let count = use_state(|| 0u32);
    let next = {
        let count = count.clone();
        Callback::from(move |()| count.set(*count + 1))
    };
    (*count, next.clone(), next.reform(|_| ()))
}
