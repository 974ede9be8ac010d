//! Ladders of another hand, made by rule, mean after reading what they meant before.
//!
//! The evaluator here takes a body as IEC 61131-3 defines it (ladder diagram, evaluation of networks), by connections alone:
//! an element is evaluated once a scan, after what feeds it; networks follow each other from top to bottom, and so do
//! the outputs of one.

use std::collections::BTreeMap;
use std::fmt::Write;

use sealin_ladder::compile;
use sealin_ladder::generate::Numbers;
use sealin_ladder::xml::read;

/// The bits; the first two are inputs.
const BITS: [&str; 5] = ["a", "b", "q", "r", "s"];

struct Item {
    is_coil: bool,
    bit: usize,
    negated: bool,
    /// For a coil: 1 sets, 2 resets.
    storage: u32,
    /// For a contact: 1 rising, 2 falling.
    edge: u32,
    /// Elements that feed it, by number; 0 is the left rail.
    from: Vec<usize>,
}

/// A body whose elements stand one below the other. Coils feed elements too.
fn body(numbers: &mut Numbers) -> Vec<Item> {
    let count = 2 + numbers.below(9) as usize;
    (0..count)
        .map(|index| {
            let is_coil = index + 1 == count || numbers.one_in(3);
            let mut from: Vec<usize> =
                (0..1 + numbers.below(2)).map(|_| numbers.below(index as u32 + 1) as usize).collect();
            if numbers.one_in(2) {
                // Most networks begin anew, or few of them would be in series or side by side.
                from = vec![if index == 0 || numbers.one_in(2) { 0 } else { index }];
            }
            Item {
                is_coil,
                bit: if is_coil { 2 + numbers.below(3) } else { numbers.below(5) } as usize,
                negated: numbers.one_in(3),
                storage: if is_coil { numbers.below(4) } else { 0 },
                edge: if is_coil { 0 } else { numbers.below(6) },
                from,
            }
        })
        .collect()
}

fn text(items: &[Item]) -> String {
    let vars = BITS.iter().enumerate().map(|(index, name)| {
        let place = if index < 2 { format!("%IX0.{index}") } else { format!("%QX0.{}", index - 2) };
        format!("<variable name='{name}' address='{place}'><type><BOOL/></type></variable>")
    });
    let mut body = String::new();
    for (index, item) in items.iter().enumerate() {
        let kind = if item.is_coil { "coil" } else { "contact" };
        let negated = item.negated && item.edge % 3 == 0 && !matches!(item.storage, 1 | 2);
        let from: String =
            item.from.iter().map(|from| format!("<connection refLocalId='{from}'/>")).collect();
        let _ = write!(
            body,
            "<{kind} localId='{}' negated='{negated}' edge='{}' storage='{}'><position x='0' y='{}'/>\
             <connectionPointIn>{from}</connectionPointIn><variable>{}</variable></{kind}>",
            index + 1,
            ["none", "rising", "falling"][item.edge as usize % 3],
            ["none", "set", "reset", "none"][item.storage as usize],
            20 * (index + 1),
            BITS[item.bit]
        );
    }
    format!(
        "<project xmlns='http://www.plcopen.org/xml/tc6_0201'><types><pous><pou name='p' pouType='program'><interface>\
         <localVars>{}</localVars></interface><body><LD><leftPowerRail localId='0'/>{body}</LD></body></pou></pous>\
         </types></project>",
        vars.collect::<String>()
    )
}

/// For each element the uppermost one of its network: those that are connected but for the rail.
fn tops(items: &[Item]) -> Vec<usize> {
    let mut tops: Vec<usize> = (0..items.len()).collect();
    // As often as there are elements is enough for the smallest number to reach all.
    for _ in 0..items.len() {
        for (index, item) in items.iter().enumerate() {
            for from in item.from.iter().filter(|from| **from > 0) {
                let top = tops[index].min(tops[from - 1]);
                (tops[index], tops[from - 1]) = (top, top);
            }
        }
    }
    tops
}

/// What the elements remember, and the bits.
struct ByDefinition<'a> {
    items: &'a [Item],
    bits: [bool; 5],
    /// The bit of each edge contact when it was last evaluated.
    before: BTreeMap<usize, bool>,
}

impl ByDefinition<'_> {
    fn scan(&mut self, inputs: u64) -> u64 {
        (self.bits[0], self.bits[1]) = (inputs & 1 != 0, inputs & 2 != 0);
        let mut known = BTreeMap::new();
        let tops = tops(self.items);
        let mut coils: Vec<usize> =
            (0..self.items.len()).filter(|index| self.items[*index].is_coil).collect();
        // Elements stand below what feeds them, so coils in this order come after what feeds them.
        coils.sort_by_key(|index| (tops[*index], *index));
        for index in coils {
            self.power(index + 1, &mut known);
        }
        u64::from(self.bits[2]) | u64::from(self.bits[3]) << 1 | u64::from(self.bits[4]) << 2
    }

    /// What an element passes on, evaluated once a scan.
    fn power(&mut self, number: usize, known: &mut BTreeMap<usize, bool>) -> bool {
        if number == 0 {
            return true;
        }
        if let Some(power) = known.get(&number) {
            return *power;
        }
        let item = &self.items[number - 1];
        let mut power = false;
        for from in item.from.clone() {
            power |= self.power(from, known);
        }
        let bit = self.bits[item.bit];
        if item.is_coil {
            match item.storage {
                1 => self.bits[item.bit] |= power,
                2 => self.bits[item.bit] &= !power,
                _ => self.bits[item.bit] = power != item.negated,
            }
        } else {
            let before = self.before.insert(number, bit);
            power &= match item.edge % 3 {
                // R_TRIG and F_TRIG: their memory begins with 0, so F_TRIG passes in the first scan if the bit is 0.
                1 => bit && !before.unwrap_or(false),
                2 => !bit && before.unwrap_or(true),
                _ => bit != item.negated,
            };
        }
        known.insert(number, power);
        power
    }
}

#[test]
fn what_was_read_means_what_stood_there() {
    let (mut compared, mut latched) = (0, 0);
    for seed in 0..6000 {
        let mut numbers = Numbers::new(seed);
        let items = body(&mut numbers);
        let text = text(&items);
        let found = read(&text).expect("a project");
        if found.notes.iter().any(|note| note.element == "<coil>") {
            // Not in series and side by side: told, and nothing to compare.
            continue;
        }
        compared += 1;
        latched += found.notes.iter().filter(|note| note.done.contains("before")).count();
        let compiled = compile(&found.program, 5);
        let mut memory = compiled.cold_start();
        let mut wanted = ByDefinition { items: &items, bits: [false; 5], before: BTreeMap::new() };
        for scan in 0..24 {
            let inputs = numbers.bits() & 3;
            let outputs = wanted.scan(inputs);
            assert_eq!(
                compiled.scan(&mut memory, inputs) & 7,
                outputs,
                "seed {seed}, scan {scan}\n{text}\n{}",
                sealin_ladder::print(&found.program)
            );
        }
    }
    assert!(compared > 2000 && latched > 300, "{compared} compared, {latched} contacts read before");
}
