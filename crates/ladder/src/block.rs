//! The standard function blocks (IEC 61131-3, standard function blocks): their names and pins.

/// A standard function block.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Block {
    /// On-delay timer.
    Ton,
    /// Off-delay timer.
    Tof,
    /// Pulse timer.
    Tp,
    /// Up-counter; R is dominant.
    Ctu,
    /// Down-counter; LD is dominant.
    Ctd,
    /// Up-down counter; R over LD over counting, and two edges at once count nothing.
    Ctud,
    /// Bistable with dominant set.
    Sr,
    /// Bistable with dominant reset.
    Rs,
    /// Rising-edge detector.
    RTrig,
    /// Falling-edge detector.
    FTrig,
}

/// What a block is preset with.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Preset {
    /// `PT`, a duration.
    Time,
    /// `PV`, a count.
    Count,
}

impl Preset {
    /// Name of the pin.
    pub fn pin(self) -> &'static str {
        match self {
            Preset::Time => "PT",
            Preset::Count => "PV",
        }
    }

    /// Name of the output that is compared with it: elapsed time `ET` or count `CV`.
    pub fn value(self) -> &'static str {
        match self {
            Preset::Time => "ET",
            Preset::Count => "CV",
        }
    }
}

impl Block {
    /// All of them, in the order of the standard's tables: bistable, edge detection, counters, timers.
    pub const ALL: [Block; 10] = [
        Block::Sr,
        Block::Rs,
        Block::RTrig,
        Block::FTrig,
        Block::Ctu,
        Block::Ctd,
        Block::Ctud,
        Block::Tp,
        Block::Ton,
        Block::Tof,
    ];

    /// Its name in the standard.
    pub fn word(self) -> &'static str {
        match self {
            Block::Ton => "TON",
            Block::Tof => "TOF",
            Block::Tp => "TP",
            Block::Ctu => "CTU",
            Block::Ctd => "CTD",
            Block::Ctud => "CTUD",
            Block::Sr => "SR",
            Block::Rs => "RS",
            Block::RTrig => "R_TRIG",
            Block::FTrig => "F_TRIG",
        }
    }

    /// The block of a name, in any case of letters.
    pub fn from_word(word: &str) -> Option<Block> {
        Block::ALL.into_iter().find(|block| block.word().eq_ignore_ascii_case(word))
    }

    /// Its Boolean inputs in the standard's order. The first stands on the rung.
    pub fn inputs(self) -> &'static [&'static str] {
        match self {
            Block::Ton | Block::Tof | Block::Tp => &["IN"],
            Block::Ctu => &["CU", "R"],
            Block::Ctd => &["CD", "LD"],
            Block::Ctud => &["CU", "CD", "R", "LD"],
            Block::Sr => &["S1", "R"],
            Block::Rs => &["S", "R1"],
            Block::RTrig | Block::FTrig => &["CLK"],
        }
    }

    /// Its Boolean outputs in the standard's order.
    pub fn outputs(self) -> &'static [&'static str] {
        match self {
            Block::Ctud => &["QU", "QD"],
            Block::Sr | Block::Rs => &["Q1"],
            _ => &["Q"],
        }
    }

    /// Its Boolean pins: inputs, then outputs.
    pub fn bits(self) -> impl Iterator<Item = &'static str> {
        self.inputs().iter().chain(self.outputs()).copied()
    }

    /// What it is preset with; none for a block that counts nothing.
    pub fn preset(self) -> Option<Preset> {
        match self {
            Block::Ton | Block::Tof | Block::Tp => Some(Preset::Time),
            Block::Ctu | Block::Ctd | Block::Ctud => Some(Preset::Count),
            Block::Sr | Block::Rs | Block::RTrig | Block::FTrig => None,
        }
    }

    /// Its output that is a value and no bit: elapsed time `ET` or count `CV`.
    pub fn value(self) -> Option<&'static str> {
        self.preset().map(Preset::value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_read_back() {
        for block in Block::ALL {
            assert_eq!(Block::from_word(&block.word().to_lowercase()), Some(block));
        }
        assert_eq!(Block::from_word("BOOL"), None);
    }
}
