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
    /// Another motor, by its figures.
    Figures(MotorFigures),
}

/// Figures of an equivalent circuit per phase in star, and what else tells a motor from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct MotorFigures {
    /// Rated power at the shaft, W.
    pub power_w: u32,
    /// Rated voltage between lines, mV.
    pub rated_mv: u32,
    /// Rated frequency, mHz: the reactances are those at it.
    pub frequency_mhz: u32,
    /// Pairs of poles.
    pub pole_pairs: u32,
    /// Stator resistance, milliohm.
    pub r1_mohm: u32,
    /// Stator leakage reactance, milliohm.
    pub x1_mohm: u32,
    /// Rotor resistance at rated slip, referred to the stator, milliohm.
    pub r2_mohm: u32,
    /// Rotor leakage reactance at rated slip, milliohm.
    pub x2_mohm: u32,
    /// Magnetising reactance, milliohm.
    pub xm_mohm: u32,
    /// Iron-loss resistance, parallel, milliohm.
    pub rfe_mohm: u32,
    /// Deep-bar factor: how much R2 grows at standstill, per mille.
    pub deep_bar_permille: u32,
    /// Saturation: how much X1 and X2 fall at standstill, per mille.
    pub saturation_permille: u32,
    /// Inertia of the rotor, kg·mm².
    pub inertia_kgmm2: u32,
    /// Friction and windage at synchronous speed, mW.
    pub friction_mw: u32,
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
