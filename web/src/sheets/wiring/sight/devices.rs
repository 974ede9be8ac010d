//! Outlines of the devices with their symbols and words; bits of the controller's images follow the bench.

use super::backdrop::{LayerProps, number};
use crate::hooks::use_live;
use crate::services::live::Binding;
use crate::sheets::wiring::panel::Device;
use crate::sheets::wiring::panel::shape::{Anchor, Bit, Line, Size, Word};
use sealin_core::part::Colour;
use yew::prelude::*;

/// The devices.
#[component]
pub fn Devices(props: &LayerProps) -> Html {
    html! {
        <g aria-hidden="true">
            { for props.drawing.panel.devices.iter().map(device) }
        </g>
    }
}

fn device(device: &Device) -> Html {
    let a = device.area;
    let shape = &device.shape;
    html! {
        <g key={device.tag.clone()} data-why={device.tag.clone()} transform={format!("translate({} {})", number(a.x), number(a.y))}>
            <rect class="device-outline" width={number(a.w)} height={number(a.h)} />
            if let Some((at, r, colour)) = shape.face {
                <circle class={classes!("device-face", format!("device-face-{}", face(colour)))}
                    cx={number(at.x)} cy={number(at.y)} r={number(r)} />
            }
            { for shape.marks.iter().map(|mark| html! {
                <path class={match mark.line {
                    Line::Ink => "symbol",
                    Line::Thin => "symbol-thin",
                    Line::Link => "symbol-link",
                    Line::Solid => "symbol-solid",
                }} d={mark.d.clone()} />
            }) }
            { for shape.words.iter().map(word) }
            { for shape.bits.iter().map(|bit| html! { <BitBox key={bit.signal.clone()} bit={bit.clone()} /> }) }
        </g>
    }
}

fn word(word: &Word) -> Html {
    let class = match word.size {
        Size::Tag => "device-tag",
        Size::Small => "device-word",
        Size::Symbol => "device-symbol",
    };
    html! {
        <text {class} x={number(word.at.x)} y={number(word.at.y)} text-anchor={anchor(word.anchor)}>
            { word.text.clone() }
        </text>
    }
}

/// How a word is set, as an attribute.
pub fn anchor(anchor: Anchor) -> &'static str {
    match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    }
}

fn face(colour: Colour) -> &'static str {
    match colour {
        Colour::Black => "black",
        Colour::White => "white",
        Colour::Red => "red",
        Colour::Yellow => "yellow",
        Colour::Green => "green",
        Colour::Blue => "blue",
    }
}

#[derive(Properties, PartialEq)]
struct BitProps {
    bit: Bit,
}

/// A bit of an image: 0 or 1 while the controller scans, empty while it does not.
#[component]
fn BitBox(props: &BitProps) -> Html {
    let (text, outline) = (use_node_ref(), use_node_ref());
    use_live(props.bit.signal.clone(), {
        let (text, outline) = (text.clone(), outline.clone());
        move |signal| {
            let scanning = signal.split_once('.').map(|(tag, _)| format!("{tag}.on")).unwrap_or_default();
            let (written, heavy) = (signal.clone(), signal.clone());
            vec![
                Binding::text(text, move |workshop| {
                    match (workshop.signal(&scanning), workshop.signal(&written)) {
                        (false, _) => String::new(),
                        (true, false) => "0".into(),
                        (true, true) => "1".into(),
                    }
                }),
                Binding::class(outline, "is-one", move |workshop| workshop.signal(&heavy)),
            ]
        }
    });
    let at = props.bit.at;
    html! {
        <g>
            <rect ref={outline} class="image-bit" x={number(at.x - 5.5)} y={number(at.y - 5.5)} width="11" height="11" />
            <text ref={text} class="image-bit-text" x={number(at.x)} y={number(at.y + 3.2)} text-anchor="middle"></text>
        </g>
    }
}
