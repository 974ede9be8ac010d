//! The content-security policy: nothing runs, loads or connects but what comes with the site itself.

/// The policy that stands in the page, so that a site on any plain file server has it.
///
/// `wasm-unsafe-eval` allows compiling WebAssembly and nothing else.
pub const IN_PAGE: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
    img-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'";

/// The policy as a header: the same, and no other page may frame the bench. A page cannot say that of itself; browsers
/// ignore `frame-ancestors` there and log an error.
pub fn header() -> String {
    format!("{IN_PAGE}; frame-ancestors 'none'")
}
