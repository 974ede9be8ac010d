//! The documents of the job, as sheets of paper: what the browser prints. They are put on the page only for a print.
//!
//! - `list` names the documents in their order; each is a title and what stands in it.
//! - `content` is what a document is made of: paragraphs, tables and drawings.
//! - `sheets` divides it into sheets (`paginate` is the rule, without a page); `paper` has the measures of the paper.
//! - `set` measures, divides and shows; `sheet` is one sheet with its frame and title block.
//! - `choice` is where a person asks for the print.

mod brief;
mod choice;
mod circuit;
mod content;
mod fault_table;
mod hand_over;
mod list;
mod marks;
mod paginate;
mod panel;
mod paper;
mod program;
mod records;
mod set;
mod sheet;
mod sheets;
mod wiring;

pub use choice::PrintChoice;
