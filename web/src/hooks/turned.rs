//! The keyboard after a turn to another sheet that was made to show something there.

use crate::services::page;
use crate::store::Shop;

/// Whether what is chosen takes the keyboard: the sheet was turned to for it, and the button that was pressed for that has gone
/// with its own sheet. To be asked in an effect, when the sheet is on the page.
pub fn takes_keyboard(shop: &Shop) -> bool {
    shop.with(|workshop| workshop.screen().turned_to_show) && page::focus_is_free()
}
