//! A canvas as a sheet of paper: its size, its sharpness and the inks of the page.

use super::theme;
use std::cell::{OnceCell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::{CanvasRenderingContext2d as Context, Element, HtmlCanvasElement, MediaQueryList};

/// The font of a canvas that has been given none, by the HTML standard.
const FIRST_FONT: &str = "10px sans-serif";

/// Inks, read from the page's style.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
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
    fn of(element: &Element) -> Inks {
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

/// The inks of a canvas, read anew only where day and night have changed: reading them has the browser compute styles.
#[derive(Default)]
pub struct Inkpot {
    dark: OnceCell<Option<MediaQueryList>>,
    light: RefCell<Option<(Option<String>, bool)>>,
    inks: RefCell<Rc<Inks>>,
}

impl Inkpot {
    /// The inks that hold at an element of the page now.
    pub fn inks(&self, element: &Element) -> Rc<Inks> {
        let dark = self.dark.get_or_init(theme::dark_wanted).as_ref().is_some_and(MediaQueryList::matches);
        let light = Some((theme::on_page(), dark));
        if *self.light.borrow() != light {
            self.inks.replace(Rc::new(Inks::of(element)));
            self.light.replace(light);
        }
        self.inks.borrow().clone()
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

/// Draws on a canvas of this size, CSS pixels, made as sharp as the screen is. Words stand there in the font of `inks`.
pub fn with_paper(
    canvas: &HtmlCanvasElement,
    (width, height): (f64, f64),
    inks: &Inks,
    draw: impl FnOnce(&Paper<'_>),
) {
    let scale = web_sys::window().map_or(1.0, |window| window.device_pixel_ratio());
    let pixels = ((width * scale) as u32, (height * scale) as u32);
    let resized = (canvas.width(), canvas.height()) != pixels;
    if resized {
        canvas.set_width(pixels.0);
        canvas.set_height(pixels.1);
    }
    let context = canvas.get_context("2d").ok().flatten().and_then(|c| c.dyn_into::<Context>().ok());
    if let Some(context) = context {
        // A new size has made it forget its font; setting one in every frame would cost a computation of styles each time.
        if resized || context.font() == FIRST_FONT {
            context.set_font(&inks.font);
        }
        draw(&Paper { context: &context, width, height, scale });
    }
}
