//! Charts of the running machine: time to trip over current, torque and current over speed.
//!
//! Each is a picture (what is to be seen, without a screen), its words and table, and the drawing of it on a canvas in
//! the inks of the page.

mod axes;
mod doing;
mod on_page;
mod sheet_of_paper;
mod torque;
mod torque_chart;
mod torque_paint;
mod trip;
mod trip_chart;
mod trip_paint;

pub use doing::{Doing, LINES, STILL_RPM, doing_of, inequality};
pub use torque_chart::TorqueChart;
pub use trip_chart::TripChart;
