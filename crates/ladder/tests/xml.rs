//! Exchange as XML: what is written comes back, whatever the program.

#[path = "xml/programs.rs"]
mod programs;

use sealin_ladder::generate::Numbers;
use sealin_ladder::xml::{Form, Heading, read, write};

const HEADING: Heading = Heading { created: "2026-01-31T12:00:00", period_ms: 20 };

/// Nothing of ours is lost, and nothing of it is not understood.
#[test]
fn every_program_comes_back() {
    for seed in 0..400 {
        let program = programs::any(&mut Numbers::new(seed));
        let text = write(&program, Form::Tc6, &HEADING);
        let back = read(&text).unwrap_or_else(|wrong| panic!("seed {seed}: {wrong}\n{text}"));
        assert_eq!(back.notes, [], "seed {seed}\n{text}");
        assert_eq!(back.program, program, "seed {seed}\n{text}");
        assert_eq!(back.period_ms, Some(20));
        assert_eq!(write(&back.program, Form::Tc6, &HEADING), text, "the same program gives the same bytes");
    }
}
