//! How many cells of a rung there is room for.

use gloo::events::EventListener;
use yew::prelude::*;

/// Widths of the page up to which so many cells fit; beyond, [`MOST`].
const STEPS: [(f64, u32); 4] = [(459.0, 4), (560.0, 5), (700.0, 6), (999.0, 8)];
const MOST: u32 = 7;

/// Cells in a line of a rung, for the page as wide as it is.
#[hook]
pub fn use_columns() -> u32 {
    let columns = use_state_eq(columns_now);
    use_effect_with((), {
        let columns = columns.clone();
        move |()| {
            let listener = web_sys::window()
                .map(|window| EventListener::new(&window, "resize", move |_| columns.set(columns_now())));
            move || drop(listener)
        }
    });
    *columns
}

fn columns_now() -> u32 {
    let width =
        web_sys::window().and_then(|w| w.inner_width().ok()).and_then(|w| w.as_f64()).unwrap_or(1440.0);
    columns_for(width)
}

fn columns_for(width: f64) -> u32 {
    STEPS.iter().find(|(up_to, _)| width <= *up_to).map_or(MOST, |(_, columns)| *columns)
}

#[cfg(test)]
mod tests {
    use super::super::symbols::CELL_X;
    use super::*;

    #[test]
    fn a_phone_shows_four_cells_and_they_fit() {
        assert_eq!([columns_for(390.0), columns_for(800.0), columns_for(1440.0)], [4, 8, 7]);
        // A line is the cells, and 44 for number and rail.
        for width in [390.0, 500.0, 600.0, 800.0] {
            let line = columns_for(width) * CELL_X as u32 + 44;
            assert!(f64::from(line) <= width, "{line} in {width}");
        }
    }
}
