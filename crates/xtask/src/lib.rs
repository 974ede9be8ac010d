//! What builds, serves, measures and tests the bench, with no other tool to install by hand.
//!
//! One module a concern. [`cli`] is the entry; [`server`] and [`site`] are also used by the browser tests, so that
//! they are served just what a person is served.

pub mod bench;
pub mod budget;
pub mod cli;
pub mod coach;
pub mod dependencies;
pub mod fuzz;
pub mod licences;
pub mod mutants;
pub mod paths;
pub mod policy;
pub mod private_toolchain;
pub mod run;
pub mod serve;
pub mod server;
pub mod site;
pub mod tally;
pub mod test;
pub mod toolchain;
pub mod wasm;
