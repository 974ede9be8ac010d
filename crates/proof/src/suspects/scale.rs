//! The values of a suspect on their scale: those of the catalogue, others between them, and the ends.

use super::RATIO;
use sealin_core::Fault;
use sealin_core::fault::{Scale, Unit, Value};
use std::iter;

/// Parts per mille that two values lie apart at most that are tried (own choice): of a coil with shorted turns some pull in, some only hum, and
/// some blow their fuse.
const STEP_PERMILLE: i32 = 100;

/// The values of one suspect, in order, with others between those that lie far apart.
pub(super) fn denser(listed: Vec<Fault>) -> Vec<Fault> {
    let mut dense: Vec<Fault> = Vec::new();
    for fault in listed {
        let next = |number: i32| match fault.mode.unit() {
            Unit::Ohm => number.checked_mul(RATIO),
            Unit::Permille => number.checked_add(STEP_PERMILLE),
            _ => None,
        };
        let low = dense.last().and_then(|before| before.value.number());
        if let (Some(low), Some(high)) = (low, fault.value.number()) {
            let between =
                iter::successors(next(low), |&number| next(number)).take_while(|&number| number < high);
            dense.extend(between.map(|number| Fault { value: Value::Number(number), ..fault.clone() }));
        }
        dense.push(fault);
    }
    dense
}

/// These values of one suspect with the ends of its scale, and nothing where it is no fault, in order. An end at which it is no fault
/// has no value beyond it. Of ohms others are tried on the way to both ends, none more than [`RATIO`] times the next: between a worn contact
/// and one that is as good as open lie those with which a supply sags, and there more is shown than at either end.
pub(super) fn points(values: &[Fault], scale: Scale) -> Vec<Option<Fault>> {
    let mut all: Vec<i32> = values.iter().filter_map(|fault| fault.value.number()).collect();
    let (Some(one), Some(&lowest), Some(&highest)) = (values.first(), all.first(), all.last()) else {
        return Vec::new();
    };
    let is_tried = |number: &i32| (scale.least..=scale.most).contains(number);
    if one.mode.unit() == Unit::Ohm {
        all.extend(iter::successors(Some(lowest), |number| Some(number / RATIO).filter(is_tried)));
        all.extend(iter::successors(Some(highest), |number| number.checked_mul(RATIO).filter(is_tried)));
    }
    all.extend([scale.sound, scale.least.min(scale.sound), scale.most.max(scale.sound)]);
    all.sort_unstable();
    all.dedup();
    let fault = |number: i32| Fault { value: Value::Number(number), ..one.clone() };
    all.into_iter().map(|number| (number != scale.sound).then(|| fault(number))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_scale(line: &str, more: &[i32], scale: Scale) -> Vec<Option<i32>> {
        let one = Fault::parse(line).unwrap();
        let of = |&number: &i32| Fault { value: Value::Number(number), ..one.clone() };
        let values: Vec<Fault> = more.iter().map(of).collect();
        let number = |fault: Fault| fault.value.number().unwrap();
        points(&denser(values), scale).into_iter().map(|point| point.map(number)).collect()
    }

    /// By hand: a loose terminal of nil is sound, one of 10 Mohm as good as broken; of an earth fault it is the other way round; a
    /// voltage is right between the two that are too low and too high.
    #[test]
    fn the_sound_bench_stands_at_its_place() {
        let ohms = |sound| Scale { least: 1, most: 10_000_000, sound };
        let loose = on_scale("conductor S04 loose 30", &[30, 20_000], ohms(0));
        let values = [3, 30, 300, 3_000, 20_000, 200_000, 2_000_000, 10_000_000].map(Some);
        assert_eq!(loose, [&[None][..], &values].concat());
        let earthed = on_scale("conductor S04 earthed 5", &[5, 70_000], ohms(i32::MAX));
        let values = [1, 5, 50, 500, 5_000, 50_000, 70_000, 700_000, 7_000_000].map(Some);
        assert_eq!(earthed, [&values[..], &[None]].concat());
        let voltage = Scale { least: 1, most: 20_000, sound: 1_000 };
        let values = [1, 550, 650, 720, 820, 920, 0, 1_020, 1_120, 1_150, 20_000];
        let values = values.map(|number| Some(number).filter(|&number| number > 0));
        assert_eq!(on_scale("XD0 voltage at 550", &[550, 720, 1_150], voltage), values);
    }
}
