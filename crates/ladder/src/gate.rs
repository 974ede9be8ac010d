//! The flat instructions that contacts and coils become, and their run.

use crate::act::Act;
use crate::lane::Lane;

/// Most contacts that one instruction joins.
pub(crate) const CONTACTS: usize = 4;

/// A bit as an instruction reads it: its slot times two, plus one for its opposite.
pub(crate) type Literal = u32;

/// Contacts joined one after the other by AND or OR, and where the result is written.
///
/// The value so far is turned over where its [`Gate::turn`] says, then joined to the next bit by AND; as
/// `a OR b = NOT (NOT a AND NOT b)`, that does for both. So there is no branch and no table, and one source does for one
/// lane and for many.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Gate {
    /// The slots that are read.
    slots: [u32; CONTACTS],
    /// The slot that is written.
    target: u32,
    /// What turns each bit over as it is read: all ones or none.
    flip: [i8; CONTACTS],
    /// What turns the value over before each further bit, and at the end.
    turn: [i8; CONTACTS],
}

/// Gates up to `end`, then an act.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Stretch {
    pub end: u32,
    pub act: Option<Act>,
}

impl Gate {
    /// The gate of a first bit and at most three further ones, each with whether OR joins it; `always` is a bit that is 1.
    pub fn new(first: Literal, further: &[(Literal, bool)], always: Literal, target: u32) -> Gate {
        let mut literals = [always; CONTACTS];
        let mut turned = [false; CONTACTS + 1];
        literals[0] = first;
        for (k, (literal, any)) in further.iter().enumerate() {
            literals[k + 1] = literal ^ u32::from(*any);
            turned[k + 1] = *any;
        }
        let all = |is: bool| -i8::from(is);
        Gate {
            slots: literals.map(|literal| literal >> 1),
            target,
            flip: literals.map(|literal| all(literal & 1 != 0)),
            turn: std::array::from_fn(|k| all(turned[k] != turned[k + 1])),
        }
    }
}

/// Runs gates without a branch that depends on a bit.
#[inline]
pub(crate) fn run<L: Lane>(gates: &[Gate], bits: &mut [L]) {
    for gate in gates {
        let read = |k: usize| bits[gate.slots[k] as usize] ^ L::all(gate.flip[k]);
        let mut value = read(0);
        for k in 1..CONTACTS {
            value = (value ^ L::all(gate.turn[k - 1])) & read(k);
        }
        bits[gate.target as usize] = (value ^ L::all(gate.turn[CONTACTS - 1])) & L::ALL;
    }
}
