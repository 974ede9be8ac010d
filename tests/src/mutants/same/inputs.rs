//! Two programs side by side with every input free in every scan, and the controller's supply lost after any.

use super::merged::DIFFERS;
use sealin_ladder::{Area, Memory, Packing, Program, compile};
use std::collections::HashSet;

/// Whether two merged programs put out the same whatever the inputs do; none if that takes more scans than allowed. That they do not
/// says little, as inputs are not free on a bench.
pub fn never_differs(both: &Program, scan_ms: u32, most_scans: u64) -> Option<bool> {
    let compiled = compile(both, scan_ms);
    let inputs = images(both);
    let mut known = Known { packing: compiled.packing(), met: HashSet::new(), waiting: Vec::new() };
    let differs = compiled.bit(DIFFERS).expect("merged programs have the bit");
    let mut memory = compiled.cold_start();
    known.meet(&memory);
    let mut scans = 0;
    while let Some(state) = known.waiting.pop() {
        for image in &inputs {
            scans += 1;
            if scans > most_scans {
                return None;
            }
            known.packing.unpack(&state, &mut memory);
            compiled.scan(&mut memory, *image);
            if compiled.read(&memory, differs) {
                return Some(false);
            }
            known.meet(&memory);
            known.meet(&compiled.warm_start(&memory));
        }
    }
    Some(true)
}

/// Memories that were met, and those of them from which no scan was run yet.
struct Known {
    packing: Packing,
    met: HashSet<Box<[u64]>>,
    waiting: Vec<Box<[u64]>>,
}

impl Known {
    fn meet(&mut self, memory: &Memory) {
        let packed = self.packing.pack(memory);
        if self.met.insert(packed.clone()) {
            self.waiting.push(packed);
        }
    }
}

/// Every input image, by the addresses that are read.
fn images(program: &Program) -> Vec<u64> {
    let inputs = program.vars.iter().filter_map(|var| var.address.filter(|a| a.area == Area::Input));
    inputs.filter_map(|address| address.image_bit()).fold(vec![0], |images, bit| {
        let with: Vec<u64> = images.iter().map(|image| image | 1 << bit).collect();
        [images, with].concat()
    })
}

#[cfg(test)]
mod tests {
    use super::super::merged::merged;
    use super::*;
    use sealin_ladder::{Address, parse};

    fn both(one: &Program, two: &Program) -> Program {
        let output = |bit| Address { area: Area::Output, byte: 0, bit };
        merged(one, two, &[output(0)], output(7))
    }

    fn program(rungs: &str) -> Program {
        let vars = "a AT %IX0.0 : BOOL;\nb AT %IX0.1 : BOOL;\nx AT %QX0.0 : BOOL;\nt : TON;\n";
        parse(&format!("PROGRAM p\nVAR\n{vars}END_VAR\n{rungs}END_PROGRAM\n")).unwrap()
    }

    /// A hold with its stop inside or outside of the branch is the same but for a stop during the press.
    #[test]
    fn a_hold_and_its_stop() {
        let one = program("x := (a OR x) AND NOT b;\n");
        let same = program("x := a AND NOT b OR x AND NOT b;\n");
        let other = program("x := a OR x AND NOT b;\n");
        assert_eq!(never_differs(&both(&one, &same), 10, 1000), Some(true));
        assert_eq!(never_differs(&both(&one, &other), 10, 1000), Some(false));
        assert_eq!(never_differs(&both(&one, &same), 10, 3), None);
    }

    /// 40 ms and 50 ms differ at a scan of 10 ms; 45 ms and 50 ms do not, as a timer counts whole scans.
    #[test]
    fn presets() {
        let of = |ms: u32| program(&format!("t(IN := a, PT := T#{ms}ms);\nx := t.Q;\n"));
        assert_eq!(never_differs(&both(&of(50), &of(40)), 10, 1000), Some(false));
        assert_eq!(never_differs(&both(&of(50), &of(45)), 10, 1000), Some(true));
    }
}
