//! Networks calculated by hand, and what islands keep.

use super::*;

fn resistor(a: Node, b: Node, ohm: f64) -> Element {
    Element::Resistor { a, b, siemens: 1.0 / ohm }
}

fn key(bits: &[usize]) -> Key {
    let mut key = Key::default();
    for &bit in bits {
        key.set(bit, true);
    }
    key
}

fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() <= 1e-6 * (1.0 + wanted.abs())
}

/// 24 V behind 0.1 ohm into 11.9 ohm: 2 A, 23.8 V. In limit, 3 A into 11.9 ohm beside the shunt of 1000 ohm:
/// 35.7 / 1.0119 = 35.280166 V. Off: nothing.
#[test]
fn a_dc_supply_in_its_three_modes() {
    let source = Element::DcSource { plus: 0, minus: EARTH, bit: 0, volts: 24.0, limit: 3.0 };
    let network = Network::new(1, vec![source, resistor(0, EARTH, 11.9)], Vec::new());
    assert!(near(network.solve(&key(&[0])).dc(0), 23.8));
    assert!(near(network.solve(&key(&[0, 1])).dc(0), 35.280_166));
    assert_eq!(network.solve(&key(&[])).dc(0), 0.0);
    assert_eq!(network.solve(&key(&[1])).dc(0), 0.0);
}

/// 400 V behind 4 ohm, 4 to 1, 1 ohm referred to the secondary, 9 ohm across it. Seen from the source the load is
/// (1 + 9) · 4² = 160 ohm, so the primary stands at 400 · 160 / 164 V, and the secondary at a quarter of it times 9 / 10.
#[test]
fn a_transformer_under_load() {
    let transformer = |secondary| Element::Transformer {
        primary: (0, EARTH),
        secondary,
        ratio: 0.25,
        series: Complex::ONE,
        magnetising: Complex::ZERO,
        siemens_dc: (1.0, 1.0),
    };
    let source =
        Element::AcSource { a: 0, bit: 0, volts: Complex::real(400.0), admittance: Complex::real(0.25) };
    let primary = 400.0 * 160.0 / 164.0;
    let earthed =
        Network::new(2, vec![source.clone(), transformer((1, EARTH)), resistor(1, EARTH, 9.0)], vec![]);
    let solution = earthed.solve(&key(&[0]));
    assert!(near(solution.ac(0, &[]).re, primary), "{solution:?}");
    assert!(near(solution.ac(1, &[]).re, primary / 4.0 * 0.9), "{solution:?}");
    // At DC the windings are apart: their own conductance is all there is.
    assert_eq!(solution.dc(1), 0.0);
    let across = earthed.resistance_dc(&key(&[0]), 1, EARTH);
    assert!(near(across, 0.9), "9 ohm beside the winding's 1 ohm: {across}");
    // The same with the secondary free of earth: the same difference, about earth in the middle.
    let free = Network::new(3, vec![source, transformer((1, 2)), resistor(1, 2, 9.0)], vec![]);
    let solution = free.solve(&key(&[0]));
    let (s, t) = (solution.ac(1, &[]), solution.ac(2, &[]));
    assert!(near((s - t).re, primary / 4.0 * 0.9), "{solution:?}");
    assert!((s + t).abs() < 1e-2, "{solution:?}");
}

/// An autotransformer: both windings share a terminal. 100 V across the primary, half of it added on top, no load but
/// 1 kilohm: 150 V behind 1 ohm, 150 · 1000 / 1001 = 149.850150 V.
#[test]
fn windings_that_share_a_terminal() {
    let elements = vec![
        Element::AcSource { a: 0, bit: 0, volts: Complex::real(100.0), admittance: Complex::real(1e6) },
        Element::Transformer {
            primary: (0, EARTH),
            secondary: (1, 0),
            ratio: 0.5,
            series: Complex::ONE,
            magnetising: Complex::new(0.0, -1e-3),
            siemens_dc: (1.0, 1.0),
        },
        resistor(1, EARTH, 1000.0),
    ];
    let v = Network::new(2, elements, Vec::new()).solve(&key(&[0])).ac(1, &[]);
    assert!(near(v.re, 149.850_150), "{v:?}");
}

/// A floating conductor of 1 nF to a live one of 230 V and 2 nF to earth stands at a third, 76.667 V at 50 Hz; a meter
/// of 10 megohm sees 230 · jωC / (jω · 3 nF + 1.002e-7 S), its own leak of 2e-10 S included: ωC = 3.14159e-7 S, so
/// 230 · 3.14159 / √(9.42478² + 1.002²) = 76.2371 V. At DC there is no capacitance.
#[test]
fn a_ghost_voltage() {
    let omega = 100.0 * std::f64::consts::PI;
    let elements = vec![
        Element::AcSource { a: 0, bit: 0, volts: Complex::real(230.0), admittance: Complex::real(1e3) },
        Element::Capacitor { a: 0, b: 1, siemens: 1e-9 * omega },
        Element::Capacitor { a: 1, b: EARTH, siemens: 2e-9 * omega },
        Element::Contact { a: 1, b: EARTH, bit: 1, siemens: 1e-7 },
    ];
    let network = Network::new(2, elements, Vec::new());
    let ghost = |bits: &[usize]| network.solve(&key(bits)).ac(1, &[]).abs();
    // Without the meter the leak, in quadrature with 9.4e-7 S, takes 2 in 10⁸.
    assert!(near(ghost(&[0]), 76.666_667), "{}", ghost(&[0]));
    assert!((ghost(&[0, 1]) - 76.237_1).abs() < 1e-4, "{}", ghost(&[0, 1]));
    assert!(network.resistance_dc(&key(&[0]), 0, 1) > 1e9);
}

/// What a port adds: a source of 100 V behind 2 ohm, 3 A drawn: 94 V; nothing at a node that is not joined.
#[test]
fn a_current_drawn_at_a_port() {
    let elements =
        vec![Element::AcSource { a: 0, bit: 0, volts: Complex::real(100.0), admittance: Complex::real(0.5) }];
    let network = Network::new(4, elements, vec![[0, 1, 2]]);
    let drawn = [[Complex::real(3.0), Complex::ZERO, Complex::ZERO]];
    let solution = network.solve(&key(&[0]));
    assert!(near(solution.ac(0, &drawn).re, 94.0));
    assert_eq!(solution.ac(3, &drawn), Complex::ZERO);
    let z = network.injected_ac(&key(&[0]), 0, EARTH)[0];
    let back = -network.injected_ac(&key(&[0]), EARTH, 0)[0];
    assert!(near(z.re, 2.0) && near(back.re, 2.0), "{z:?} {back:?}");
}

/// Two DC supplies, each with a contact and a load, are two islands at DC (and dead at mains frequency): a changed
/// contact solves its own again and keeps the other; either way the bits are those of a solution made afresh.
#[test]
fn an_island_whose_contacts_did_not_change_is_kept() {
    let mut elements = Vec::new();
    for (node, bit) in [(0, 0), (2, 3)] {
        elements.push(Element::DcSource { plus: node, minus: EARTH, bit, volts: 24.0, limit: 3.0 });
        elements.push(Element::Contact { a: node, b: node + 1, bit: bit + 2, siemens: 100.0 });
        elements.push(resistor(node + 1, EARTH, 100.0));
    }
    let network = Network::new(4, elements, Vec::new());
    let mut workspace = Workspace::default();
    let mut solved = Vec::new();
    for bits in [&[0, 3][..], &[0, 3, 2], &[0, 3, 2], &[0, 3, 2, 5], &[0, 3, 2, 5, 200], &[3, 5]] {
        network.solve_in(&key(bits), &mut workspace);
        solved.push(workspace.islands_solved());
        let fresh = network.solve(&key(bits));
        assert_eq!(workspace.dc(), &fresh.dc[..]);
        assert_eq!(workspace.ac(), &fresh.ac[..]);
    }
    // Both; one; none; the other; none, as bit 200 is read by neither; none, as the first island is dead.
    assert_eq!(solved, [2, 3, 3, 4, 4, 4]);
    // Another network in the same memory starts anew.
    let other = Network::new(1, vec![resistor(0, EARTH, 1.0)], Vec::new());
    other.solve_in(&key(&[3, 5]), &mut workspace);
    assert_eq!((workspace.dc(), workspace.islands_solved()), (&[0.0][..], 0));
}
