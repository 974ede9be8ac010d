//! The program of the controller: its model, its structured text, its compiler and its scan.
//!
//! A program is a list of rungs. A rung is a series-parallel network of contacts that drives one output: a coil or a
//! function block. The same [`Program`] is drawn ([`layout`]), read and printed as structured text after IEC 61131-3
//! ([`parse()`], [`print()`]), changed by value ([`edit`]) and compiled to flat instructions ([`compile()`]).
//!
//! This crate has no I/O, no clock, no randomness and no floating point; every function is a pure function of its
//! arguments, and what it saves ([`Memory`]) is plain data in integers of fixed width.
//!
//! ```
//! let program = sealin_ladder::parse(
//!     "PROGRAM lamp
//!      VAR
//!          SF1_in  AT %IX0.0 : BOOL;
//!          PF1_out AT %QX0.0 : BOOL;
//!      END_VAR
//!      PF1_out := SF1_in;
//!      END_PROGRAM",
//! )
//! .expect("a program without errors");
//! let compiled = sealin_ladder::compile(&program, 5);
//! let mut memory = compiled.cold_start();
//! assert_eq!(compiled.scan(&mut memory, 0b1), 0b1);
//! assert_eq!(compiled.value(&memory, "PF1_out"), Some(true));
//! ```

mod act;
pub mod bits;
mod block;
mod canonical;
mod compile;
mod compiled;
mod count;
mod diagnostic;
pub mod edit;
mod gate;
#[cfg(feature = "generate")]
pub mod generate;
mod lane;
mod lanes;
pub mod layout;
mod lex;
mod model;
mod pack;
mod parse;
mod print;
mod reasons;
mod remarks;
mod restart;
pub mod rewrite;
mod splice;
mod time;
pub mod xml;

pub use block::{Block, Preset};
pub use canonical::canonical_bytes;
pub use compile::compile;
pub use compiled::{BitRef, Compiled, FIRST_SCAN, Figures, Memory, VarInfo};
pub use diagnostic::{Diagnostic, MAX_DIAGNOSTICS, Severity};
pub use lanes::{LANES, Lanes, transpose};
pub use layout::{RungLayout, lay_out};
pub use model::{
    Address, Area, Call, Comparison, Constant, Contact, Network, Operand, Output, Program, Relation, Rung,
    Test, Var, VarKind,
};
pub use pack::Packing;
pub use parse::{EdgePlace, MAX_NESTING, MAX_SOURCE_BYTES, Place, Reading, is_edge_name, parse, read};
pub use print::{print, print_network, print_rung};
pub use reasons::{Decided, Reason, Seen, What, reason};
pub use remarks::{Remark, Rule, remarks};
pub use splice::{insert_rung, remove_rung, replace_rung};
pub use time::{MAX_TIME_MS, print_time};
