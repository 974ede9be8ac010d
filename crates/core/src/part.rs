//! The parts a panel is made of: what each is, its rated values, and its terminals.
//!
//! Values are integers in the smallest unit (mV, mA, milliohm, ms), as in the files; they become floating-point
//! numbers once, when a [`crate::Design`] is built.

use std::fmt;

/// One device of the job: a tag, its place and what it is.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Part {
    /// Reference designation after IEC 81346-2, such as `QA1`.
    pub tag: String,
    /// What it is for, in a few words, such as `raise`.
    pub function: String,
    /// Where it is mounted.
    pub place: Place,
    /// What it is.
    pub kind: Kind,
}

/// Where a part is mounted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// On a rail inside the panel.
    Panel,
    /// On the operator station.
    Station,
    /// In the field: at the machine, or the end of the supply cable.
    Field,
}

/// What a part is, with its rated values.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// End of the three-phase supply cable; terminals `L1 L2 L3 PE`. Neutral earthed at the source (TN-S).
    Supply(Supply),
    /// Switching or protective device with poles 1-2, 3-4, 5-6.
    Switchgear(Switchgear),
    /// Contactor with three main poles, 13-14 and 21-22; terminals `A1 A2 1…6 13 14 21 22`.
    Contactor(Contactor),
    /// Thermal overload relay; terminals `1…6 95 96 97 98`.
    Overload(Overload),
    /// Control transformer; terminals `1U 1V 2U 2V PE`.
    Transformer(Transformer),
    /// 24 V supply; terminals `L1 L2 PE + -`.
    DcSupply(DcSupply),
    /// Controller; terminals `L+ M PE`, and those of its groups.
    Controller(Controller),
    /// Push-button with one contact: make 13-14, or break 11-12.
    Button(Button),
    /// Indicator lamp; terminals `X1 X2`.
    Lamp(Lamp),
    /// Three-phase cage motor; terminals `U1 V1 W1 PE`.
    Motor(Motor),
    /// Terminal strip, earth bar or a conductive part with earth terminals: terminals by name, some joined.
    Strip(Strip),
}

/// A three-phase supply.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Supply {
    /// Voltage between lines, mV (RMS).
    pub line_voltage_mv: u32,
    /// Frequency, mHz.
    pub frequency_mhz: u32,
    /// Prospective three-phase short-circuit current, mA; fixes the internal impedance.
    pub fault_current_ma: u32,
}

/// A disconnector, fuse disconnector, fuse terminal or miniature breaker.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Switchgear {
    /// Number of poles, 1 to 3.
    pub poles: u8,
    /// What opens it by itself.
    pub protection: Protection,
}

/// What opens a switching device by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Protection {
    /// Nothing: a plain switch.
    None,
    /// A fuse link in each pole, slow full-range (gG, IEC 60269-1).
    FuseGg {
        /// Rated current, mA.
        rated_ma: u32,
    },
    /// A fast miniature fuse link in each pole (IEC 60127 characteristic F).
    FuseFast {
        /// Rated current, mA.
        rated_ma: u32,
    },
    /// A miniature breaker (IEC 60898-1), all poles open together.
    Breaker {
        /// Rated current, mA.
        rated_ma: u32,
        /// Upper limit of the instantaneous range as a multiple of rated current: 5 for B, 10 for C, 20 for D.
        magnetic: u8,
    },
}

/// A contactor for motors.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Contactor {
    /// Rated coil voltage, mV AC.
    pub coil_mv: u32,
    /// Apparent power with the armature out, mVA.
    pub inrush_mva: u32,
    /// Apparent power with the armature in, mVA.
    pub sealed_mva: u32,
    /// 21-22 is a mirror contact (IEC 60947-4-1 Annex F): it cannot close while a main pole is closed.
    pub mirror: bool,
    /// Tag of the contactor whose armature is blocked mechanically while this one is in.
    pub interlocked_with: Option<String>,
    /// Delays of the armature.
    pub delays: ArmatureDelays,
}

/// Delays of an armature, ms after the coil changed (nominal values; the ranges belong to the proof).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ArmatureDelays {
    /// Coil on to break contacts open.
    pub break_open_ms: u8,
    /// Coil on to main poles and make contacts closed.
    pub main_close_ms: u8,
    /// Coil off to main poles and make contacts open.
    pub main_open_ms: u8,
    /// Main poles open to break contacts closed.
    pub break_close_ms: u8,
}

impl Default for ArmatureDelays {
    /// Typical of an AC-operated frame of 9 to 12 A: break contacts open after 8 to 15 ms, mains close after
    /// 12 to 25 ms; mains open 4 to 15 ms after switching off and break contacts close 1 to 5 ms later.
    fn default() -> Self {
        ArmatureDelays { break_open_ms: 11, main_close_ms: 18, main_open_ms: 8, break_close_ms: 3 }
    }
}

/// A thermal overload relay after IEC 60947-4-1, trip-free, manual reset.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Overload {
    /// Trip class.
    pub class: TripClass,
    /// Dial, mA.
    pub dial_ma: u32,
    /// Lowest value of the dial, mA.
    pub dial_min_ma: u32,
    /// Highest value of the dial, mA.
    pub dial_max_ma: u32,
    /// Reacts to the difference between the poles as well as to the hottest.
    pub phase_loss_sensitive: bool,
}

/// Trip class after IEC 60947-4-1, table of trip times at 7.2 times the setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TripClass {
    /// Class 5.
    C5,
    /// Class 10A.
    C10A,
    /// Class 10.
    C10,
    /// Class 20.
    C20,
    /// Class 30.
    C30,
}

/// A control transformer after IEC 61558-2-2.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Transformer {
    /// Rated primary voltage, mV.
    pub primary_mv: u32,
    /// Rated secondary voltage, mV.
    pub secondary_mv: u32,
    /// Rated power, mVA.
    pub rated_mva: u32,
    /// Short-circuit impedance, per mille of the rated impedance.
    pub impedance_permille: u16,
}

/// A switched-mode DC supply.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct DcSupply {
    /// Rated input voltage, mV AC.
    pub input_mv: u32,
    /// Output voltage, mV.
    pub output_mv: u32,
    /// Electronic current limit, mA.
    pub limit_ma: u32,
    /// How long the output stands after the input is lost, ms.
    pub hold_up_ms: u16,
    /// From input voltage to output voltage, ms.
    pub start_up_ms: u16,
}

/// A controller with grouped inputs and outputs.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Controller {
    /// Groups of inputs, in order of address.
    pub inputs: Vec<Group>,
    /// Groups of relay outputs, in order of address.
    pub outputs: Vec<Group>,
    /// Scan period, ms.
    pub scan_ms: u8,
    /// Input filter, ms.
    pub filter_ms: u8,
    /// From supply voltage to the first scan, ms.
    pub start_up_ms: u16,
}

/// Channels that share a common terminal. Channel `k` over all groups has the address `%IX(k/8).(k mod 8)` (or `%QX`).
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Group {
    /// Name of the common terminal.
    pub common: String,
    /// Names of the channels' terminals.
    pub channels: Vec<String>,
}

/// A push-button.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Button {
    /// Its contact.
    pub form: Form,
    /// Colour after IEC 60073.
    pub colour: Colour,
}

/// Whether a contact closes or opens on actuation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Form {
    /// Normally open: closes on actuation.
    Make,
    /// Normally closed: opens on actuation.
    Break,
}

/// Colours of push-buttons and lamps, IEC 60204-1 clause 10 and IEC 60073.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Colour {
    /// Black.
    Black,
    /// White.
    White,
    /// Red.
    Red,
    /// Yellow.
    Yellow,
    /// Green.
    Green,
    /// Blue.
    Blue,
}

/// An indicator lamp with LED.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Lamp {
    /// Rated voltage, mV.
    pub rated_mv: u32,
    /// Resistance at rated voltage, milliohm.
    pub resistance_mohm: u32,
    /// Colour.
    pub colour: Colour,
}

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

/// Terminals by name, some of them joined.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Strip {
    /// Terminal names.
    pub terminals: Vec<String>,
    /// Groups of joined terminals.
    pub bridges: Vec<Vec<String>>,
}

impl Part {
    /// Names of the part's terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        let named = |names: &[&str]| names.iter().map(|n| n.to_string()).collect();
        match &self.kind {
            Kind::Supply(_) => named(&["L1", "L2", "L3", "PE"]),
            Kind::Switchgear(s) => (1..=u32::from(s.poles) * 2).map(|n| n.to_string()).collect(),
            Kind::Contactor(_) => named(&["A1", "1", "3", "5", "13", "21", "A2", "2", "4", "6", "14", "22"]),
            Kind::Overload(_) => named(&["1", "3", "5", "95", "97", "2", "4", "6", "96", "98"]),
            Kind::Transformer(_) => named(&["1U", "1V", "PE", "2U", "2V"]),
            Kind::DcSupply(_) => named(&["L1", "L2", "PE", "+", "-"]),
            Kind::Controller(c) => {
                let mut all = vec!["L+".to_string(), "M".to_string(), "PE".to_string()];
                for group in c.inputs.iter().chain(&c.outputs) {
                    all.extend(group.channels.iter().cloned());
                    all.push(group.common.clone());
                }
                all
            }
            Kind::Button(b) => match b.form {
                Form::Make => named(&["13", "14"]),
                Form::Break => named(&["11", "12"]),
            },
            Kind::Lamp(_) => named(&["X1", "X2"]),
            Kind::Motor(_) => named(&["U1", "V1", "W1", "PE"]),
            Kind::Strip(s) => s.terminals.clone(),
        }
    }

    /// Contacts of the part, as their terminal pairs: `13-14`, `95-96`, `1-2`.
    pub fn contacts(&self) -> Vec<(String, String)> {
        let pairs = |names: &[(&str, &str)]| {
            names.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect::<Vec<_>>()
        };
        match &self.kind {
            Kind::Switchgear(s) => {
                (0..u32::from(s.poles)).map(|p| ((2 * p + 1).to_string(), (2 * p + 2).to_string())).collect()
            }
            Kind::Contactor(_) => pairs(&[("1", "2"), ("3", "4"), ("5", "6"), ("13", "14"), ("21", "22")]),
            Kind::Overload(_) => pairs(&[("95", "96"), ("97", "98")]),
            Kind::Button(b) => match b.form {
                Form::Make => pairs(&[("13", "14")]),
                Form::Break => pairs(&[("11", "12")]),
            },
            _ => Vec::new(),
        }
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Colour::Black => "black",
            Colour::White => "white",
            Colour::Red => "red",
            Colour::Yellow => "yellow",
            Colour::Green => "green",
            Colour::Blue => "blue",
        })
    }
}
