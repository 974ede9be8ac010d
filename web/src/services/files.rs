//! Files in and out: a download by a link that is clicked for the person, and a file that the person has chosen.

use super::page;
use gloo::file::futures::read_as_bytes;
use wasm_bindgen::JsCast;
use web_sys::{Blob, BlobPropertyBag, File, HtmlAnchorElement, Url};

/// Hands a text to the browser as a file to be saved.
///
/// # Errors
/// What the browser refused.
pub fn save(name: &str, mime: &str, text: &str) -> Result<(), String> {
    let refused = |_| "the browser does not let this page save files".to_string();
    let document = page::document().ok_or("there is no page to save from")?;
    let parts = js_sys::Array::of1(&text.into());
    let options = BlobPropertyBag::new();
    options.set_type(mime);
    let blob = Blob::new_with_str_sequence_and_options(&parts, &options).map_err(refused)?;
    let url = Url::create_object_url_with_blob(&blob).map_err(refused)?;
    let link = document.create_element("a").map_err(refused)?;
    let link: HtmlAnchorElement = link.dyn_into().map_err(|_| "there is no link to save by".to_string())?;
    link.set_href(&url);
    link.set_download(name);
    link.click();
    // The browser has taken the content by the time its own work is done; the address must live until then.
    gloo::timers::callback::Timeout::new(60_000, move || {
        let _ = Url::revoke_object_url(&url);
    })
    .forget();
    Ok(())
}

/// Reads a text file that a person has chosen. Its size is for the caller to look at first.
///
/// # Errors
/// If it is no text, with the place, or cannot be read.
pub async fn read(file: File) -> Result<String, String> {
    let blob = gloo::file::Blob::from(Blob::from(file));
    let content = read_as_bytes(&blob).await.map_err(|error| error.to_string())?;
    String::from_utf8(content).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let (line, column) = place(&error.as_bytes()[..at]);
        format!("line {line}, column {column}: this is no text in UTF-8.")
    })
}

/// Line and column, from 1, of the end of a text.
fn place(before: &[u8]) -> (usize, usize) {
    let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
    let start = before.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
    (line, before.len() - start + 1)
}

#[cfg(test)]
mod tests {
    use super::place;

    #[test]
    fn places_are_counted_from_one() {
        assert_eq!(place(b""), (1, 1));
        assert_eq!(place(b"ab\ncd"), (2, 3));
        assert_eq!(place(b"ab\n"), (2, 1));
    }
}
