//! Motors and what they turn.

use super::named;

/// A three-phase cage motor and what it turns.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Motor {
    /// Parameter set of the equivalent circuit.
    pub model: MotorModel,
    /// Rated current, mA.
    pub rated_ma: u32,
    /// Inertia of the load at the motor's shaft, kg·mm² (10⁻⁶ kg·m²).
    pub load_inertia_kgmm2: u32,
    /// Friction torque of the load, mN·m, against the motion.
    pub load_friction_mnm: u32,
    /// What else the motor turns.
    pub machine: Machine,
}

/// Which equivalent circuit, per-phase star (models of the two practice regions).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MotorModel {
    /// 4 kW, 400 V, 50 Hz, two pole pairs.
    Kw4At400V,
    /// 5 hp, 460 V, 60 Hz, two pole pairs.
    Hp5At460V,
}

/// The machine on a motor's shaft, beyond inertia and friction. The default is none.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Machine {
    /// Torque of a fan or pump at synchronous speed, mN·m; it goes with the square of the speed.
    pub load_fan_mnm: u32,
    /// Mass that moves along the way, kg. Its weight pulls the position down, whether the motor runs or not.
    pub mass_kg: u32,
    /// Rise of the way, per mille of its length: 1000 hangs freely, 80 is a slipway.
    pub rise_permille: u16,
    /// The way of the machine, if its position counts.
    pub travel: Option<Travel>,
}

/// A way along which a machine moves, such as the rope of a hoist; positions in µm, upwards.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Travel {
    /// Way per turn of the motor, µm: circumference of the drum over the ratio of the gear.
    pub um_per_turn: u32,
    /// A motor that turns clockwise makes the position smaller.
    pub clockwise_lowers: bool,
    /// Position at the start, µm.
    pub start_um: u32,
    /// Position of the lower end stop, µm; none: the way is open.
    pub least_um: Option<u32>,
    /// Position of the upper end stop, µm; none: the way is open.
    pub most_um: Option<u32>,
}

impl Motor {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["U1", "V1", "W1", "PE"])
    }
}
