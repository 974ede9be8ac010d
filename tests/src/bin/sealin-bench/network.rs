//! Solutions of a network of 60 nodes a second.

use super::{Finding, median};
use sealin_core::network::netlist::Group;
use sealin_core::network::{Key, Network, Workspace};
use sealin_tests::netlists::sixty_nodes as network;
use sealin_tests::simulator;
use std::hint::black_box;
use std::path::PathBuf;
use std::time::Instant;

/// Solutions in one measurement.
const SOLUTIONS: u64 = 100_000;

/// Points of the long sweep and of the short one, whose time is that of starting the process.
const POINTS: (u32, u32) = (50_000, 2);

/// Solutions a second, each a full elimination for another key; the baseline is a sweep of ngspice's over the same
/// network, the start of its process taken off. Both must first agree on the voltages at several keys.
pub fn sixty_nodes() -> Finding {
    let network = network();
    for number in 0..8 {
        agree(&network, &key(number * 12_345));
    }
    let value = median(|| {
        let mut workspace = Workspace::default();
        let start = Instant::now();
        for number in 0..SOLUTIONS {
            network.solve_in(&key(number), &mut workspace);
            black_box(workspace.dc());
        }
        let seconds = start.elapsed().as_secs_f64();
        assert_eq!(workspace.islands_solved(), SOLUTIONS, "each must have been solved");
        SOLUTIONS as f64 / seconds
    });
    let netlist = network.netlist(&key(12_345), Group::Dc, &[]);
    let baseline = median(|| {
        let seconds = sweep(&netlist, POINTS.0) - sweep(&netlist, POINTS.1);
        f64::from(POINTS.0 - POINTS.1) / seconds
    });
    let _ = std::fs::remove_dir_all(folder());
    Finding { value, unit: "solutions/s", baseline: Some(("ngspice-sweep", baseline)), also: Vec::new() }
}

/// Key number `number`: the supply on, the twenty contacts anyhow.
fn key(number: u64) -> Key {
    // An odd factor takes different numbers to different bits.
    let contacts = number.wrapping_mul(0x9_e377) & 0xf_ffff;
    Key([contacts | 1 << 20, 0, 0, 0])
}

fn agree(network: &Network, key: &Key) {
    let plot = &simulator::solved(&folder(), &[network.netlist(key, Group::Dc, &[])])[0];
    let solution = network.solve(key);
    for node in 0..network.nodes as u32 {
        let (here, there) = (solution.dc(node), plot[&format!("n{node}")].re);
        assert!(
            (here - there).abs() <= 1e-6 * there.abs().max(1.0),
            "node {node}: {here} V here, {there} V there"
        );
    }
}

/// Seconds for a sweep of the supply's voltage over so many points.
fn sweep(netlist: &str, points: u32) -> f64 {
    let step = 24.0 / f64::from(points - 1);
    let text = netlist.replace(".op\n", &format!(".save v(n59)\n.dc V0 0 24.000001 {step:e}\n"));
    let start = Instant::now();
    simulator::run(&folder(), &text);
    start.elapsed().as_secs_f64()
}

fn folder() -> PathBuf {
    std::env::temp_dir().join(format!("sealin-bench-{}", std::process::id()))
}
