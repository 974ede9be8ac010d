//! Coils of contactors and relays, and their auxiliary contacts by number.

use std::fmt;

/// A coil with terminals A1 and A2.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Coil {
    /// Rated voltage, mV.
    pub rated_mv: u32,
    /// What it is wound for.
    pub current: CoilCurrent,
    /// Apparent power with the armature out, mVA. A DC coil draws the same in and out, and counts by `sealed_mva`.
    pub inrush_mva: u32,
    /// Apparent power with the armature in, mVA (mW of a DC coil).
    pub sealed_mva: u32,
    /// What quenches its switching-off voltage.
    pub suppressor: Suppressor,
    /// The armature comes in from this percentage of the rated voltage.
    pub pick_up_percent: u8,
    /// The armature falls off below this percentage of the rated voltage.
    pub drop_out_percent: u8,
}

/// What a coil is wound for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CoilCurrent {
    /// Mains frequency: its impedance rises as the armature closes.
    Ac,
    /// Direct current: a resistance.
    Dc,
}

/// What quenches the voltage that a coil makes on switching off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Suppressor {
    /// Nothing.
    None,
    /// Resistor and capacitor: hardly lengthens the release.
    Rc,
    /// Voltage-dependent resistor: the release takes some milliseconds longer.
    Varistor,
    /// Diode across a DC coil: the release takes several times as long.
    Diode,
}

impl CoilCurrent {
    /// Typical pick-up and drop-out, percent of the rated voltage: AC 75 and 50, DC 70 and 25. IEC 60947-4-1 clause
    /// 8.2.1.2: closes from 85 to 110 %; releases between 75 and 20 % (AC), 75 and 10 % (DC).
    pub fn typical_limits(self) -> (u8, u8) {
        match self {
            CoilCurrent::Ac => (75, 50),
            CoilCurrent::Dc => (70, 25),
        }
    }

    /// Lowest drop-out that IEC 60947-4-1 lets a coil have, percent of the rated voltage.
    pub fn least_drop_out(self) -> u8 {
        match self {
            CoilCurrent::Ac => 20,
            CoilCurrent::Dc => 10,
        }
    }
}

impl Coil {
    /// An AC coil without suppressor, with typical limits.
    pub fn ac(rated_mv: u32, inrush_mva: u32, sealed_mva: u32) -> Self {
        let (pick_up_percent, drop_out_percent) = CoilCurrent::Ac.typical_limits();
        Coil {
            rated_mv,
            current: CoilCurrent::Ac,
            inrush_mva,
            sealed_mva,
            suppressor: Suppressor::None,
            pick_up_percent,
            drop_out_percent,
        }
    }

    /// A DC coil of this power, mW, with typical limits.
    pub fn dc(rated_mv: u32, power_mw: u32, suppressor: Suppressor) -> Self {
        let (pick_up_percent, drop_out_percent) = CoilCurrent::Dc.typical_limits();
        Coil {
            rated_mv,
            current: CoilCurrent::Dc,
            inrush_mva: power_mw,
            sealed_mva: power_mw,
            suppressor,
            pick_up_percent,
            drop_out_percent,
        }
    }
}

/// An auxiliary contact: sequence digit and function digits of its terminal numbers (IEC 60947-1 annex L).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Auxiliary {
    /// Sequence digit, 1 to 9: the 3 of 31-32.
    pub sequence: u8,
    /// What it does.
    pub function: AuxFunction,
}

/// What an auxiliary contact does, by the function digits of its terminals. What is special depends on the device: in a timer
/// relay the contact follows the time; in a contactor 7-8 closes early and 5-6 opens late; in a breaker it signals that it
/// has tripped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum AuxFunction {
    /// 1-2: break contact.
    Break,
    /// 3-4: make contact.
    Make,
    /// 1-2-4: changeover contact, 1 the common.
    Changeover,
    /// 5-6: break contact with a special function.
    SpecialBreak,
    /// 7-8: make contact with a special function.
    SpecialMake,
    /// 5-6-8: changeover contact with a special function, 5 the common.
    SpecialChangeover,
}

impl AuxFunction {
    const ALL: [AuxFunction; 6] = [
        AuxFunction::Break,
        AuxFunction::Make,
        AuxFunction::Changeover,
        AuxFunction::SpecialBreak,
        AuxFunction::SpecialMake,
        AuxFunction::SpecialChangeover,
    ];

    /// Function digits; the common comes first.
    fn digits(self) -> &'static [u8] {
        match self {
            AuxFunction::Break => &[1, 2],
            AuxFunction::Make => &[3, 4],
            AuxFunction::Changeover => &[1, 2, 4],
            AuxFunction::SpecialBreak => &[5, 6],
            AuxFunction::SpecialMake => &[7, 8],
            AuxFunction::SpecialChangeover => &[5, 6, 8],
        }
    }

    /// It has a special function.
    pub fn special(self) -> bool {
        self.digits()[0] >= 5
    }
}

/// One gap of an auxiliary contact: two terminals, and whether it is closed at rest.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Gap {
    /// One terminal, the common of a changeover contact.
    pub a: String,
    /// The other terminal.
    pub b: String,
    /// Closed with the armature out.
    pub at_rest: bool,
    /// It has a special function.
    pub special: bool,
}

impl Auxiliary {
    /// A contact of this sequence digit.
    pub fn new(sequence: u8, function: AuxFunction) -> Self {
        Auxiliary { sequence, function }
    }

    /// Reads `13-14`, `21-22`, `11-12-14`, `15-16-18`. The error says what is expected.
    pub fn parse(text: &str) -> Result<Self, String> {
        let wrong = || {
            format!(
                "`{text}` is no contact; expected a sequence digit before 1-2 (break), 3-4 (make), 1-2-4 (changeover), \
                 5-6, 7-8 or 5-6-8 (special): 13-14, 21-22, 11-12-14, 15-16-18"
            )
        };
        let mut sequence = None;
        let mut digits = Vec::new();
        for number in text.split('-') {
            let &[s @ b'1'..=b'9', f @ b'1'..=b'8'] = number.as_bytes() else { return Err(wrong()) };
            if *sequence.get_or_insert(s) != s {
                return Err(wrong());
            }
            digits.push(f - b'0');
        }
        let function = AuxFunction::ALL.into_iter().find(|f| f.digits() == digits).ok_or_else(wrong)?;
        Ok(Auxiliary { sequence: sequence.ok_or_else(wrong)? - b'0', function })
    }

    /// Numbers of its terminals, the common first.
    fn numbers(self) -> Vec<String> {
        self.function.digits().iter().map(|d| format!("{}{d}", self.sequence)).collect()
    }

    /// Terminals that are drawn above: the fixed ends of a changeover contact, the first end of any other.
    pub fn upper(self) -> Vec<String> {
        let all = self.numbers();
        if all.len() == 3 { all[1..].to_vec() } else { all[..1].to_vec() }
    }

    /// Terminals that are drawn below: the common of a changeover contact, the second end of any other.
    pub fn lower(self) -> Vec<String> {
        let all = self.numbers();
        if all.len() == 3 { all[..1].to_vec() } else { all[1..].to_vec() }
    }

    /// Its gaps: one, or two of a changeover contact, the break side first.
    pub fn gaps(self) -> Vec<Gap> {
        let all = self.numbers();
        let special = self.function.special();
        let gap = |k: usize, at_rest| Gap { a: all[0].clone(), b: all[k].clone(), at_rest, special };
        match self.function {
            AuxFunction::Break | AuxFunction::SpecialBreak => vec![gap(1, true)],
            AuxFunction::Make | AuxFunction::SpecialMake => vec![gap(1, false)],
            AuxFunction::Changeover | AuxFunction::SpecialChangeover => vec![gap(1, true), gap(2, false)],
        }
    }

    /// The first terminal number that two of these contacts share.
    pub fn shared(all: &[Auxiliary]) -> Option<String> {
        let mut seen: Vec<String> = Vec::new();
        for number in all.iter().flat_map(|a| a.numbers()) {
            if seen.contains(&number) {
                return Some(number);
            }
            seen.push(number);
        }
        None
    }
}

impl fmt::Display for Auxiliary {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.numbers().join("-"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Function digits after IEC 60947-1 annex L: 1-2 break, 3-4 make, 1-2-4 changeover, 5 to 8 special.
    #[test]
    fn numbers_and_back() {
        for text in ["13-14", "21-22", "31-32", "43-44", "11-12-14", "21-22-24", "15-16-18", "17-18", "25-26"]
        {
            assert_eq!(Auxiliary::parse(text).unwrap().to_string(), text);
        }
        for text in
            ["", "13", "13-24", "12-11", "14-13", "03-04", "13-14-", "19-10", "113-114", "1é-14", "11-14"]
        {
            assert!(Auxiliary::parse(text).unwrap_err().contains("expected"), "{text}");
        }
        let changeover = Auxiliary::parse("21-22-24").unwrap();
        let gaps: Vec<_> = changeover.gaps().into_iter().map(|g| (g.a, g.b, g.at_rest, g.special)).collect();
        assert_eq!(
            gaps,
            [("21".into(), "22".into(), true, false), ("21".into(), "24".into(), false, false)]
                as [(String, String, bool, bool); 2]
        );
        let list = ["13-14", "21-22", "11-12-14"].map(|t| Auxiliary::parse(t).unwrap());
        assert_eq!(Auxiliary::shared(&list), Some("14".to_string()));
        assert_eq!(Auxiliary::shared(&list[..2]), None);
    }
}
