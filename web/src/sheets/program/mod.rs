//! The program sheet: I/O list, rungs and structured text, each following the other.

mod ask;
mod bar;
mod block;
mod comment;
mod completion;
mod deed;
mod desk;
mod editor;
mod facts;
mod field_remarks;
mod fold;
mod io_form;
mod io_list;
mod keys;
mod kinds;
mod labels;
mod names;
mod offers;
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
mod typed;
mod variables;
mod walk;

pub use sheet::Program;
