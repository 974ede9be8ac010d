//! Motors and what they turn.

use super::named;

/// A three-phase cage motor and what it turns.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Motor {
    /// Parameter set of the equivalent circuit.
    pub model: MotorModel,
    /// Rated current, mA.
    pub rated_ma: u32,
    /// Inertia of the load, kg·mm² (10⁻⁶ kg·m²).
    pub load_inertia_kgmm2: u32,
    /// Friction torque of the load, mN·m, against the motion.
    pub load_friction_mnm: u32,
}

/// Which equivalent circuit, per-phase star (models of the two practice regions).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MotorModel {
    /// 4 kW, 400 V, 50 Hz, two pole pairs.
    Kw4At400V,
    /// 5 hp, 460 V, 60 Hz, two pole pairs.
    Hp5At460V,
}

impl Motor {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["U1", "V1", "W1", "PE"])
    }
}
