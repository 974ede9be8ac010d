//! Motors.

use super::*;

impl Builder<'_> {
    pub(super) fn motor(&mut self, tag: &str, m: &Motor) {
        let nodes = ["U1", "V1", "W1"].map(|n| self.node(tag, n));
        let circuit = circuit(m.model);
        // Star resistance R1 per phase as a delta of 3·R1 between the terminals.
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            self.elements.push(Element::DcOnly {
                a: nodes[a],
                b: nodes[b],
                siemens: siemens(3.0 * circuit.r1),
            });
        }
        let port = self.ports.len();
        self.ports.push(nodes);
        let data = MotorData {
            circuit,
            port,
            nodes,
            load_inertia: f64::from(m.load_inertia_kgmm2) * 1e-6,
            load_friction: f64::from(m.load_friction_mnm) * 1e-3,
        };
        self.motors.push(Tagged { tag: tag.to_string(), data });
    }
}
