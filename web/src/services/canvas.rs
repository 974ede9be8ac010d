//! A canvas as a sheet of paper: its size, its sharpness and the inks of the page.

use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d as Context, Element, HtmlCanvasElement};

/// Frames between two looks at the page's inks, which change with day and night.
pub const FRAMES_AN_INK: u32 = 10;

/// Inks, read from the page's style.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Inks {
    /// Lines and words.
    pub ink: String,
    /// Words beside.
    pub faint: String,
    /// Grids and measures.
    pub hair: String,
    /// What is kept.
    pub kept: String,
    /// The ground of a box.
    pub sheet: String,
    /// What a person has chosen.
    pub choice: String,
    /// What is wrong.
    pub broken: String,
    /// Small figures.
    pub font: String,
}

impl Inks {
    /// The inks that hold at an element.
    pub fn of(element: &Element) -> Inks {
        let style = web_sys::window().and_then(|window| window.get_computed_style(element).ok().flatten());
        let ink = |name: &str| {
            let value = style.as_ref().and_then(|style| style.get_property_value(name).ok());
            value.map(|value| value.trim().to_string()).unwrap_or_default()
        };
        Inks {
            ink: ink("--ink"),
            faint: ink("--faint"),
            hair: ink("--hair"),
            kept: ink("--kept"),
            sheet: ink("--sheet"),
            choice: ink("--choice"),
            broken: ink("--broken"),
            font: format!("11px {}", ink("--mono")),
        }
    }
}

/// A canvas with its size in CSS pixels and the pixels of the screen in one of them.
pub struct Paper<'a> {
    /// Where to draw.
    pub context: &'a Context,
    /// Width, CSS pixels.
    pub width: f64,
    /// Height, CSS pixels.
    pub height: f64,
    /// Pixels of the screen in a CSS pixel.
    pub scale: f64,
}

/// Draws on a canvas of this size, CSS pixels, made as sharp as the screen is.
pub fn with_paper(canvas: &HtmlCanvasElement, (width, height): (f64, f64), draw: impl FnOnce(&Paper<'_>)) {
    let scale = web_sys::window().map_or(1.0, |window| window.device_pixel_ratio());
    let pixels = ((width * scale) as u32, (height * scale) as u32);
    if (canvas.width(), canvas.height()) != pixels {
        canvas.set_width(pixels.0);
        canvas.set_height(pixels.1);
    }
    let context = canvas.get_context("2d").ok().flatten().and_then(|c| c.dyn_into::<Context>().ok());
    if let Some(context) = context {
        draw(&Paper { context: &context, width, height, scale });
    }
}
