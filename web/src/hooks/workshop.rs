//! The workshop from the context.

use crate::store::Shop;
use yew::prelude::*;

/// The workshop that the page works on.
///
/// # Panics
/// If used outside of the app, which provides it.
#[hook]
pub fn use_workshop() -> Shop {
    use_context::<Shop>().expect("the app provides the workshop to every component below it")
}
