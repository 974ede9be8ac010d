//! The attempt as a file, out and in.

use super::{address, clipboard, files};
use crate::store::model::{Attempt, MOST_BYTES};
use crate::store::{Command, Notice, Shop};
use crate::t;
use std::rc::Rc;
use web_sys::File;

/// Computes the log again, and saves it as a file when that gives what the screen has shown.
pub fn save(shop: &Shop) {
    let saved = shop
        .with(|workshop| workshop.export())
        .and_then(|file| files::save(&file.name, "application/json", &file.text));
    if let Err(text) = saved {
        shop.dispatch(Command::Notice(Notice { refused: true, text }));
    }
}

/// Computes the log again, and gives a link that carries it; it is put on the clipboard, where the browser lets it.
pub fn link(shop: &Shop) -> Option<String> {
    let link = shop
        .with(|workshop| workshop.exported())
        .and_then(|attempt| address::link(&attempt).ok_or_else(|| t!("attempt-link-long").to_string()));
    match link {
        Ok(link) => {
            clipboard::write(&link);
            Some(link)
        }
        Err(text) => {
            shop.dispatch(Command::Notice(Notice { refused: true, text }));
            None
        }
    }
}

/// Reads a file and opens it. What is no attempt is refused with the place and what was expected; the work in progress
/// stays as it is.
pub fn open(shop: Shop, file: File) {
    wasm_bindgen_futures::spawn_local(async move {
        let name = file.name();
        let opened = match read(file).await {
            Ok(attempt) => shop.ask(Command::Open(Rc::new(attempt))),
            Err(problem) => Err(problem),
        };
        if let Err(problem) = opened {
            let text = t!("attempt-bad", name = name, problem = problem.trim_end_matches('.'));
            shop.dispatch(Command::Notice(Notice { refused: true, text }));
        }
    });
}

async fn read(file: File) -> Result<Attempt, String> {
    let bytes = file.size();
    if bytes > MOST_BYTES as f64 {
        return Err(t!("attempt-too-long", bytes = bytes, most = MOST_BYTES));
    }
    let text = files::read(file).await?;
    Attempt::parse(&text).map_err(|error| error.to_string())
}
