//! sealin
fn main() {}
