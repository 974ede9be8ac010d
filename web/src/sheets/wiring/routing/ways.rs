//! Ways through the ducts from one clamp to another, before lanes are given.

use crate::sheets::wiring::geometry::{Point, length};
use crate::sheets::wiring::panel::{Clamp, Duct};

/// Ducts from one clamp to the other by the shortest way.
pub fn shortest(ducts: &[Duct], from: &Clamp, to: &Clamp) -> Vec<usize> {
    let mut best = (f64::INFINITY, vec![from.duct]);
    let mut open = vec![vec![from.duct]];
    while let Some(way) = open.pop() {
        let last = way.last().copied().unwrap_or(from.duct);
        if last == to.duct {
            let far = length(&centre_line(ducts, from.at, to.at, &way));
            if far < best.0 {
                best = (far, way);
            }
            continue;
        }
        // Level, upright, level and the cable run: no way needs more.
        if way.len() < 5 {
            for next in 0..ducts.len() {
                if !way.contains(&next) && meets(ducts, last, next) {
                    let mut longer = way.clone();
                    longer.push(next);
                    open.push(longer);
                }
            }
        }
    }
    best.1
}

/// Whether conductors can go from one duct into another. The cable run meets only the uppermost and lowest duct.
fn meets(ducts: &[Duct], a: usize, b: usize) -> bool {
    let (a, b) = if ducts[a].level { (a, b) } else { (b, a) };
    if !ducts[a].level || ducts[b].level {
        return false;
    }
    let highest = |d: &Duct| ducts.iter().filter(|o| o.level).all(|o| o.area.y >= d.area.y);
    let lowest = |d: &Duct| ducts.iter().filter(|o| o.level).all(|o| o.area.y <= d.area.y);
    !ducts[b].outside || highest(&ducts[a]) || lowest(&ducts[a])
}

/// The polyline through the middles of the ducts of a way.
pub fn centre_line(ducts: &[Duct], from: Point, to: Point, way: &[usize]) -> Vec<Point> {
    let lane = |d: usize| {
        let m = ducts[d].area.middle();
        if ducts[d].level { m.y } else { m.x }
    };
    joined(ducts, from, to, way, &way.iter().map(|&d| lane(d)).collect::<Vec<_>>())
}

/// The polyline through the ducts of a way on these lanes.
pub fn joined(ducts: &[Duct], from: Point, to: Point, way: &[usize], lanes: &[f64]) -> Vec<Point> {
    let mut line = vec![from];
    let mut at = from;
    for (i, &d) in way.iter().enumerate() {
        // Onto the lane of this duct, keeping the other coordinate; the next duct's lane is met on it.
        at = if ducts[d].level { Point::new(at.x, lanes[i]) } else { Point::new(lanes[i], at.y) };
        if line.last() != Some(&at) {
            line.push(at);
        }
    }
    let last = if way.last().is_some_and(|&d| ducts[d].level) {
        Point::new(to.x, at.y)
    } else {
        Point::new(at.x, to.y)
    };
    for p in [last, to] {
        if line.last() != Some(&p) {
            line.push(p);
        }
    }
    line
}
