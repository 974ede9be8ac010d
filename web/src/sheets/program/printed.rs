//! The program for paper: read, checked and drawn, without anything that follows the bench.

use super::facts::Facts;
use super::field_remarks::field_remarks;
use super::remarks::Said;
use super::rung::RungDrawing;
use super::sketch::{Sketch, Standing, standing};
use super::transfer;
use crate::store::Workshop;
use crate::store::model::Conductor;
use sealin_ladder::Program;
use std::cell::Cell;
use std::rc::Rc;
use yew::prelude::*;

/// The program of the sheet.
pub struct Printed {
    sketch: Rc<Sketch>,
    /// It has no errors.
    pub good: bool,
    /// What is known of its names.
    pub facts: Rc<Facts>,
    /// What a teacher would say, of the program and then of the wiring.
    pub remarks: Vec<Said>,
    /// How it and the controller stand to each other, in words.
    pub standing: String,
    /// The controller runs it.
    pub in_controller: bool,
}

impl Printed {
    /// Reads the work as it is.
    pub fn of(workshop: &Workshop) -> Printed {
        let (sketch, good) = Sketch::read(workshop.source());
        let sketch = Rc::new(sketch);
        let scenario = workshop.scenario();
        let conductors: Vec<Conductor> = workshop.conductors();
        let facts = Facts::gather(sketch.program(), &scenario.names, &scenario.parts, &conductors);
        let of_wiring = field_remarks(sketch.program(), &facts, &scenario.parts);
        let remarks = sketch.remarks.iter().map(Said::from).chain(of_wiring).collect();
        let stands = standing(&sketch, good, &workshop.project().transferred);
        let in_controller = matches!(stands, Standing::Same | Standing::SameMeaning);
        let standing = transfer::words(stands).to_string();
        Printed { sketch, good, facts: Rc::new(facts), remarks, standing, in_controller }
    }

    /// The program.
    pub fn program(&self) -> &Program {
        self.sketch.program()
    }

    /// What the reader found, with its place.
    pub fn errors(&self) -> Vec<String> {
        self.sketch.diagnostics().iter().map(ToString::to_string).collect()
    }

    /// A rung in lines of so many cells.
    pub fn rung(&self, index: usize, columns: u32) -> Html {
        let rung = self.program().rungs[index].clone();
        html! {
            <RungDrawing {rung} {index} {columns} hand={None::<super::sketch::Hand>} first={false} focus=0
                served={Rc::new(Cell::new(0))} runs={None::<u32>} facts={self.facts.clone()} on_hand={Callback::noop()} />
        }
    }
}
