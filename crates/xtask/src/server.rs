//! A static server for this machine alone, with the headers that a deployment should set too.

use std::path::PathBuf;

use anyhow::{Context, Result};
use axum::Router;
use axum::http::{HeaderName, HeaderValue, header};
use tokio::net::TcpListener;
use tower_http::services::ServeDir;
use tower_http::set_header::SetResponseHeaderLayer;

use crate::policy;

/// Takes a port of 127.0.0.1; port 0 means any that is free.
///
/// # Errors
/// If the port is taken or not allowed.
pub async fn bind(port: u16) -> Result<TcpListener> {
    TcpListener::bind(("127.0.0.1", port)).await.with_context(|| {
        format!("could not listen on 127.0.0.1:{port}; is it in use? choose another with --port, 0 for any")
    })
}

/// Serves the files of `dir` until the runtime ends.
///
/// # Errors
/// If the listener fails.
pub async fn serve(listener: TcpListener, dir: PathBuf) -> Result<()> {
    Ok(axum::serve(listener, router(dir)?).await?)
}

fn router(dir: PathBuf) -> Result<Router> {
    let policy = HeaderValue::from_str(&policy::header())?;
    let headers: [(HeaderName, HeaderValue); 5] = [
        (header::CONTENT_SECURITY_POLICY, policy),
        (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
        (header::REFERRER_POLICY, HeaderValue::from_static("no-referrer")),
        (HeaderName::from_static("cross-origin-opener-policy"), HeaderValue::from_static("same-origin")),
        // A browser asks each time whether a file changed: the page must not outlive the build it names.
        (header::CACHE_CONTROL, HeaderValue::from_static("no-cache")),
    ];
    let mut router = Router::new().fallback_service(ServeDir::new(dir));
    for (name, value) in headers {
        router = router.layer(SetResponseHeaderLayer::overriding(name, value));
    }
    Ok(router)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Read, Write};

    /// A request over a real socket, and the answer as text.
    fn get(port: u16, path: &str) -> String {
        let mut stream = std::net::TcpStream::connect(("127.0.0.1", port)).unwrap();
        write!(stream, "GET {path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    // The types are those of the standards: WebAssembly Web API 1 (a module must be application/wasm to stream), HTML
    // (a module script needs a JavaScript type, RFC 9239), Web Application Manifest.
    #[test]
    fn serves_the_types_and_headers_that_browsers_insist_on() {
        let outer = tempfile::tempdir().unwrap();
        let dir = outer.path().join("site");
        std::fs::create_dir(&dir).unwrap();
        let types = [
            ("index.html", "text/html"),
            ("a.js", "text/javascript"),
            ("a_bg.wasm", "application/wasm"),
            ("a.css", "text/css"),
            ("a.svg", "image/svg+xml"),
            ("manifest.webmanifest", "application/manifest+json"),
        ];
        for (name, _) in types {
            std::fs::write(dir.join(name), "x").unwrap();
        }
        std::fs::write(outer.path().join("outside-the-site"), "secret").unwrap();
        let runtime = tokio::runtime::Builder::new_current_thread().enable_io().build().unwrap();
        let listener = runtime.block_on(bind(0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        std::thread::spawn(move || runtime.block_on(serve(listener, dir)));

        for (name, expected) in types {
            let answer = get(port, &format!("/{name}")).to_ascii_lowercase();
            assert!(answer.starts_with("http/1.1 200"), "{answer}");
            assert!(answer.contains(&format!("content-type: {expected}")), "{name}: {answer}");
            assert!(answer.contains("frame-ancestors 'none'"), "{answer}");
            assert!(answer.contains("x-content-type-options: nosniff"), "{answer}");
        }
        assert!(get(port, "/").starts_with("HTTP/1.1 200"));
        assert!(get(port, "/missing.js").starts_with("HTTP/1.1 404"));
        for outside in ["/../outside-the-site", "/%2e%2e/outside-the-site"] {
            assert!(!get(port, outside).contains("secret"));
        }
    }
}
