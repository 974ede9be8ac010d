//! The program sheet: I/O list, rungs and structured text, each following the other.

mod block;
mod change;
mod completion;
mod declare;
mod editor;
mod facts;
mod fold;
mod io_list;
mod labels;
mod overlay;
mod places;
mod remarks;
mod room;
mod rung;
mod rung_live;
mod rungs;
mod sheet;
mod sketch;
mod symbols;
mod tools;
mod transfer;
mod walk;

pub use sheet::Program;
