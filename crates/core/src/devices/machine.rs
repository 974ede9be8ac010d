//! What a motor turns: the torques at its shaft, and the way of the machine with its end stops.
//!
//! A mass `m` on a way of `x` metres a turn and a rise `h` (metres up per metre of way) pulls with
//! `m·g·h·x/2π` at the shaft and adds the inertia `m·(x/2π)²`: work is the same on both sides of drum and gear, whose
//! losses belong to the friction. Positions are whole nanometres, so that they are exact and equal on every target.
//! Limits: rope and gear are stiff; an end stop takes the whole speed at once and shows no blow.

use super::motor::Circuit;
use crate::part::{Motor, Travel};

/// Standard gravity, m/s² (ISO 80000-3).
const GRAVITY: f64 = 9.806_65;

/// 2π.
const TURN: f64 = 2.0 * std::f64::consts::PI;

/// The load of a motor, as felt at its shaft.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Load {
    /// Inertia, kg·m², the rotor's aside.
    pub inertia: f64,
    /// Friction, N·m, against the motion.
    pub friction: f64,
    /// Fan or pump: N·m per square of the speed in rad/s, against the motion.
    pub fan: f64,
    /// Pull of a weight, N·m, positive clockwise.
    pub pull: f64,
    /// The way, if the position counts.
    pub way: Option<Way>,
}

/// The way of a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Way in a tick at 1 rad/s, nm, positive upwards for clockwise.
    nm_per_tick: f64,
    /// Position at the start, nm.
    pub start_nm: i64,
    /// Lower end stop, nm.
    least_nm: i64,
    /// Upper end stop, nm.
    most_nm: i64,
    /// Positions from which something differs, ascending: end stops, and those that [`Way::watch`] adds.
    edges: Vec<i64>,
    /// Those of them at which a position switch changes and which the machine can cross.
    switching: Vec<i64>,
}

/// Nanometres in a micrometre.
const NM_PER_UM: i64 = 1000;

/// A metre, nm: far from the end of a part of the way that has no other end.
const FAR_NM: i64 = 1_000_000_000;

impl Load {
    /// The load of a motor.
    pub fn new(motor: &Motor, circuit: &Circuit) -> Load {
        let machine = &motor.machine;
        let way = machine.travel.as_ref();
        let metres = way.map_or(0.0, |t| signed_um_per_turn(t) * 1e-6 / TURN);
        let mass = f64::from(machine.mass_kg);
        let synchronous = circuit.synchronous;
        Load {
            inertia: f64::from(motor.load_inertia_kgmm2) * 1e-6 + mass * metres * metres,
            friction: f64::from(motor.load_friction_mnm) * 1e-3,
            fan: f64::from(machine.load_fan_mnm) * 1e-3 / (synchronous * synchronous),
            pull: -(mass * GRAVITY * f64::from(machine.rise_permille) * 1e-3 * metres),
            way: way.map(Way::new),
        }
    }

    /// The way, if a position switch changes somewhere on it.
    pub fn watched_way(&self) -> Option<&Way> {
        self.way.as_ref().filter(|way| way.parts() > 1)
    }

    /// Torque against the motion at a speed in rad/s, N·m, without the weight and the rotor's own friction.
    pub fn against(&self, speed: f64) -> f64 {
        self.friction + self.fan * (speed * speed)
    }
}

fn signed_um_per_turn(t: &Travel) -> f64 {
    let um = f64::from(t.um_per_turn);
    if t.clockwise_lowers { -um } else { um }
}

impl Way {
    fn new(t: &Travel) -> Way {
        let nm = |um: u32| i64::from(um) * NM_PER_UM;
        let mut way = Way {
            nm_per_tick: signed_um_per_turn(t) * NM_PER_UM as f64 / TURN / 1000.0,
            start_nm: nm(t.start_um),
            least_nm: t.least_um.map_or(i64::MIN, nm),
            most_nm: t.most_um.map_or(i64::MAX, nm),
            edges: Vec::new(),
            switching: Vec::new(),
        };
        if t.least_um.is_some() {
            way.edge(way.least_nm + 1);
        }
        if t.most_um.is_some() {
            way.edge(way.most_nm);
        }
        way
    }

    fn edge(&mut self, nm: i64) {
        if let Err(place) = self.edges.binary_search(&nm) {
            self.edges.insert(place, nm);
        }
    }

    /// Has it count when the position enters or leaves a part of the way, µm.
    pub fn watch(&mut self, from_um: u32, to_um: u32) {
        let (from, past) = span_nm(from_um, to_um);
        for edge in [from, past] {
            self.edge(edge);
            let crossed = self.least_nm < edge && edge <= self.most_nm;
            if let (true, Err(place)) = (crossed, self.switching.binary_search(&edge)) {
                self.switching.insert(place, edge);
            }
        }
    }

    /// Number of parts into which the position switches divide the way; 1 if none of them ever changes.
    pub fn parts(&self) -> usize {
        self.switching.len() + 1
    }

    /// Number of the part, from the bottom, in which a position lies.
    pub fn part(&self, position_nm: i64) -> usize {
        self.switching.partition_point(|&edge| edge <= position_nm)
    }

    /// First and last position of a part, nm; without a stop there, as far as positions go.
    pub fn part_nm(&self, part: usize) -> (i64, i64) {
        let first = part.checked_sub(1).map_or(self.least_nm, |below| self.switching[below]);
        (first, self.switching.get(part).map_or(self.most_nm, |edge| edge - 1))
    }

    /// A position well within a part, nm: the middle, or beside its one end where it has no other.
    pub fn within_part(&self, part: usize) -> i64 {
        match self.part_nm(part) {
            (i64::MIN, i64::MAX) => self.start_nm,
            (i64::MIN, last) => last.saturating_sub(FAR_NM),
            (first, i64::MAX) => first.saturating_add(FAR_NM),
            (first, last) => first + (last - first) / 2,
        }
    }

    /// Length of the shortest part with another on either side, nm; none if there is no such part.
    pub fn shortest_inner_nm(&self) -> Option<i64> {
        self.switching.windows(2).map(|edges| edges[1] - edges[0]).min()
    }

    /// The sense, 1 or −1, in which the position goes while the shaft turns clockwise.
    pub fn sense(&self) -> i8 {
        if self.nm_per_tick < 0.0 { -1 } else { 1 }
    }

    /// Angle of the shaft from one end stop to the other, rad; infinite if one is missing.
    pub fn radians(&self) -> f64 {
        if self.least_nm == i64::MIN || self.most_nm == i64::MAX {
            return f64::INFINITY;
        }
        let size = if self.nm_per_tick < 0.0 { -self.nm_per_tick } else { self.nm_per_tick };
        (self.most_nm - self.least_nm) as f64 / (size * 1000.0)
    }

    /// Way in one tick at a speed in rad/s, whole nm.
    pub fn step(&self, speed: f64) -> i64 {
        (speed * self.nm_per_tick) as i64
    }

    /// An end stop bars this speed at this position.
    pub fn bars(&self, position_nm: i64, speed: f64) -> bool {
        let way = speed * self.nm_per_tick;
        way > 0.0 && position_nm >= self.most_nm || way < 0.0 && position_nm <= self.least_nm
    }

    /// Position after so many ticks at this speed, and whether an end stop was run into.
    pub fn after(&self, position_nm: i64, speed: f64, ticks: u64) -> (i64, bool) {
        let way = self.step(speed).saturating_mul(i64::try_from(ticks).unwrap_or(i64::MAX));
        let to = position_nm.saturating_add(way);
        if way > 0 && to >= self.most_nm {
            (self.most_nm, true)
        } else if way < 0 && to <= self.least_nm {
            (self.least_nm, true)
        } else {
            (to, false)
        }
    }

    /// End stops, µm, lower first, where there are any.
    pub fn stops_um(&self) -> [Option<i64>; 2] {
        let open = |nm: i64| nm == i64::MIN || nm == i64::MAX;
        [self.least_nm, self.most_nm].map(|nm| (!open(nm)).then_some(nm / NM_PER_UM))
    }

    /// Number of the part of the way, between two edges, in which a position lies.
    pub fn cell(&self, position_nm: i64) -> usize {
        self.edges.partition_point(|&edge| edge <= position_nm)
    }

    /// Ticks at this speed after which the machine is still in the same part of the way.
    pub fn free_ticks(&self, position_nm: i64, speed: f64) -> u64 {
        let step = self.step(speed);
        let cell = self.cell(position_nm);
        let room = match step {
            0 => return u64::MAX,
            1.. => self.edges.get(cell).map(|edge| edge - 1 - position_nm),
            _ => cell.checked_sub(1).map(|below| position_nm - self.edges[below]),
        };
        room.map_or(u64::MAX, |room| room as u64 / step.unsigned_abs())
    }
}

/// First position of a part of the way, and the first after it, nm.
fn span_nm(from_um: u32, to_um: u32) -> (i64, i64) {
    (i64::from(from_um) * NM_PER_UM, i64::from(to_um) * NM_PER_UM + 1)
}

/// Whether a position is within a part of the way.
pub fn within(position_nm: i64, from_um: u32, to_um: u32) -> bool {
    let (from, past) = span_nm(from_um, to_um);
    from <= position_nm && position_nm < past
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::motor::circuit;
    use crate::part::{Machine, MotorModel};

    fn hoist(clockwise_lowers: bool) -> Motor {
        Motor {
            model: MotorModel::Kw4At400V,
            rated_ma: 8_200,
            load_inertia_kgmm2: 2_000,
            load_friction_mnm: 1_500,
            machine: Machine {
                load_fan_mnm: 0,
                mass_kg: 1_000,
                rise_permille: 1_000,
                travel: Some(Travel {
                    um_per_turn: 10_000,
                    clockwise_lowers,
                    start_um: 500_000,
                    least_um: Some(0),
                    most_um: Some(3_000_000),
                }),
            },
        }
    }

    /// By hand: 1000 kg · 9.80665 m/s² · 0.010 m / 2π = 15.61 N·m down; 1000 kg · (0.010 m / 2π)² = 0.002533 kg·m²,
    /// with the 0.002 that are given. 157.08 rad/s (1500 min⁻¹) move it 25 turns a second: 250 µm a tick.
    #[test]
    fn a_hoist_by_hand() {
        let c = circuit(MotorModel::Kw4At400V);
        let load = Load::new(&hoist(false), &c);
        assert!((load.pull + 15.61).abs() < 0.01, "{}", load.pull);
        assert!((load.inertia - 0.004_533).abs() < 1e-6, "{}", load.inertia);
        let way = load.way.unwrap();
        assert!((way.step(c.synchronous) - 250_000).abs() <= 1, "{}", way.step(c.synchronous));
        let other = Load::new(&hoist(true), &c);
        assert!((other.pull - 15.61).abs() < 0.01, "{}", other.pull);
        assert!(other.way.unwrap().step(c.synchronous) < 0);
    }

    /// A fan of 20 N·m at synchronous speed takes 5 N·m at half of it.
    #[test]
    fn a_fan_goes_with_the_square() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut m = hoist(false);
        m.machine = Machine { load_fan_mnm: 20_000, ..Machine::default() };
        let load = Load::new(&m, &c);
        assert!((load.against(c.synchronous) - 21.5).abs() < 1e-9);
        assert!((load.against(c.synchronous / 2.0) - 6.5).abs() < 1e-9);
        assert_eq!((load.pull, load.way), (0.0, None));
    }

    /// Passing over the free ticks at once never passes an edge, and ends where single ticks end.
    #[test]
    fn free_ticks_stay_in_their_part_of_the_way() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut way = Load::new(&hoist(false), &c).way.unwrap();
        way.watch(2_900_000, 3_000_000);
        way.watch(0, 100_000);
        for (start, speed) in [(500_000_000, 151.3), (500_000_000, -157.9), (2_950_000_000, 3.7), (7, -0.8)] {
            let ticks = way.free_ticks(start, speed);
            assert!(ticks < 100_000, "{ticks}");
            let mut at = start;
            for _ in 0..ticks {
                let stopped;
                (at, stopped) = way.after(at, speed, 1);
                assert!(!stopped && way.cell(at) == way.cell(start));
            }
            assert_eq!(way.after(start, speed, ticks), (at, false));
            let (next, stopped) = way.after(at, speed, 1);
            assert!(stopped || way.cell(next) != way.cell(start), "{start} {speed}");
        }
    }

    /// By hand: 2.9 m to the stop at 3 m and 0 to 0.1 m leave two places at which a switch changes, 0.100000001 m and 2.9 m: three
    /// parts, of which the middle one is 2.8 m long. 3 m at 10 mm a turn are 300 turns, 1885 rad.
    #[test]
    fn switches_divide_the_way() {
        let mut way = Load::new(&hoist(false), &circuit(MotorModel::Kw4At400V)).way.unwrap();
        assert_eq!((way.parts(), way.shortest_inner_nm(), way.sense()), (1, None, 1));
        way.watch(2_900_000, 3_000_000);
        way.watch(0, 100_000);
        assert_eq!((way.parts(), way.shortest_inner_nm()), (3, Some(2_799_999_999)));
        let positions = [0, 100_000_000, 100_000_001, 2_899_999_999, 2_900_000_000, 3_000_000_000];
        assert_eq!(positions.map(|nm| way.part(nm)), [0, 0, 1, 1, 2, 2]);
        assert_eq!(way.part_nm(1), (100_000_001, 2_899_999_999));
        assert!((0..3).all(|part| way.part(way.within_part(part)) == part));
        assert!((way.radians() - 1885.0).abs() < 0.1, "{}", way.radians());
    }

    #[test]
    fn end_stops_bar_one_sense_only() {
        let way = Load::new(&hoist(false), &circuit(MotorModel::Kw4At400V)).way.unwrap();
        let top = way.after(2_999_999_000, 100.0, 1);
        assert_eq!(top, (3_000_000_000, true));
        assert!(way.bars(top.0, 1.0) && !way.bars(top.0, -1.0) && !way.bars(top.0, 0.0));
        assert!(way.bars(0, -1.0) && !way.bars(0, 1.0));
        assert!(within(top.0, 2_900_000, 3_000_000) && !within(top.0 + 1, 2_900_000, 3_000_000));
    }
}
