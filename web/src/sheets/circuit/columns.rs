//! Which columns the symbols of a circuit stand in: every path has its own, and what feeds several stands over the first.

use super::element::Element;
use super::figure::{Room, columns, room};
use super::nets::{At, Nets};
use super::rows::Rows;
use std::collections::{BTreeMap, BTreeSet};

/// Empty columns between two paths, cells.
const APART: i32 = 1;

/// Where a symbol stands across, cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Across {
    /// Its left edge.
    pub left: i32,
    /// Its width.
    pub wide: i32,
    /// Each of its ports.
    pub ports: Vec<i32>,
}

/// The columns of one circuit.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    /// Place of each symbol.
    pub across: BTreeMap<usize, Across>,
    /// Left edge of each path, and the symbol that ends it.
    pub paths: Vec<(i32, usize)>,
    /// Width of all of it.
    pub wide: i32,
}

/// Finds the columns of a circuit.
pub fn place(section: usize, elements: &[Element], nets: &Nets, rows: &mut Rows, apart: i32) -> Columns {
    let hung = hung(section, rows);
    let under: BTreeSet<usize> = hung.values().flatten().map(|(_, child, _)| *child).collect();
    let mut placing = Placing { elements, hung, out: Columns::default(), apart };
    let mut cursor = 0;
    for &root in rows.sections[section].roots.iter().filter(|root| !under.contains(root)) {
        cursor = placing.tree(root, cursor) + APART + apart;
    }
    // What hangs on something elsewhere stands by itself.
    let rails: Vec<usize> = rows.sections[section].rails.iter().map(|(e, _)| *e).collect();
    let mut all: Vec<usize> =
        rows.places.iter().filter(|(_, p)| p.section == section).map(|(e, _)| *e).collect();
    all.sort_by_key(|e| rows.places[e].row);
    for e in all.into_iter().filter(|e| !rails.contains(e)) {
        if !placing.out.across.contains_key(&e) {
            cursor = placing.tree(e, cursor) + APART + apart;
        }
    }
    placing.rails(section, nets, rows);
    let least = placing.out.across.values().map(|a| a.left).min().unwrap_or(0);
    if least < 0 {
        placing.shift(&placing.out.across.keys().copied().collect::<Vec<_>>(), -least);
        placing.out.paths.iter_mut().for_each(|p| p.0 -= least);
    }
    placing.out.wide = placing.out.across.values().map(|a| a.left + a.wide).max().unwrap_or(0);
    placing.out
}

/// What stands under each symbol of a circuit: its port, the other symbol, and that one's port. A symbol stands under what it
/// hangs on; where that lies lower, as what only the lower potential reaches does, it is the other way round, once for each.
fn hung(section: usize, rows: &Rows) -> BTreeMap<usize, Vec<(usize, usize, usize)>> {
    let mut hung: BTreeMap<usize, Vec<(usize, usize, usize)>> = BTreeMap::new();
    let mut taken = BTreeSet::new();
    let here = || rows.places.iter().filter(|(_, place)| place.section == section);
    let hanging = || here().filter_map(|(e, place)| Some((*e, place.row, place.hang?)));
    let row = |e: usize| rows.places.get(&e).filter(|place| place.section == section).map(|place| place.row);
    for (e, own, hang) in hanging() {
        if row(hang.on.0).is_some_and(|on| on < own) {
            taken.insert(e);
            hung.entry(hang.on.0).or_default().push((hang.on.1, e, hang.by));
        }
    }
    let rail = |e: usize| rows.sections[section].rails.iter().any(|(rail, _)| *rail == e);
    for (e, own, hang) in hanging() {
        if row(hang.on.0).is_some_and(|on| on > own) && !rail(hang.on.0) && taken.insert(hang.on.0) {
            hung.entry(e).or_default().push((hang.by, hang.on.0, hang.on.1));
        }
    }
    hung.values_mut().for_each(|all| all.sort());
    hung
}

struct Placing<'a> {
    elements: &'a [Element],
    hung: BTreeMap<usize, Vec<(usize, usize, usize)>>,
    out: Columns,
    apart: i32,
}

impl Placing<'_> {
    fn shift(&mut self, all: &[usize], by: i32) {
        for e in all {
            if let Some(a) = self.out.across.get_mut(e) {
                a.left += by;
                a.ports.iter_mut().for_each(|x| *x += by);
            }
        }
    }

    fn all_under(&self, e: usize) -> Vec<usize> {
        let mut all = vec![e];
        let mut at = 0;
        while at < all.len() {
            all.extend(self.hung.get(&all[at]).into_iter().flatten().map(|(_, c, _)| *c));
            at += 1;
        }
        all
    }

    /// Places a symbol over what hangs on it, from a column on; gives the column behind all of it.
    fn tree(&mut self, e: usize, left: i32) -> i32 {
        let under = self.hung.get(&e).cloned().unwrap_or_default();
        let first_path = self.out.paths.len();
        if under.is_empty() {
            self.out.paths.push((left, e));
        }
        let mut cursor = left;
        for (_, child, _) in &under {
            cursor = self.tree(*child, cursor) + APART + self.apart;
        }
        let mut across = self.over(e, &under);
        if across.left < left {
            let by = left - across.left;
            let moved = self.all_under(e);
            self.shift(&moved, by);
            self.out.paths[first_path..].iter_mut().for_each(|p| p.0 += by);
            across.left += by;
            across.ports.iter_mut().for_each(|x| *x += by);
            cursor += by;
        }
        let end = across.left + across.wide;
        self.out.across.insert(e, across);
        end.max(cursor - if under.is_empty() { 0 } else { APART + self.apart })
    }

    /// A symbol with its ports over what hangs on them.
    fn over(&self, e: usize, under: &[(usize, usize, usize)]) -> Across {
        let element = &self.elements[e];
        let room = room(element);
        let wanted = |port: usize| {
            let child = under.iter().find(|(p, ..)| *p == port)?;
            Some(self.out.across[&child.1].ports[child.2])
        };
        if element.figure == super::element::Figure::Bar {
            return bar(&room, (0..element.ports.len()).map(wanted).collect());
        }
        let own = columns(element);
        let first = (0..own.len()).find_map(|p| wanted(p).map(|x| x - own[p]));
        let left = first.unwrap_or_else(|| self.out.paths.last().map_or(0, |p| p.0));
        let last = own.iter().max().copied().unwrap_or(room.left);
        Across { left, wide: last + room.right + 1, ports: own.into_iter().map(|x| left + x).collect() }
    }

    /// The strips of the lower potential: their terminals under what they join, one strip under the other.
    fn rails(&mut self, section: usize, nets: &Nets, rows: &mut Rows) {
        let mut rails = rows.sections[section].rails.clone();
        rails.sort_by_key(|(e, strips)| (-strips, *e));
        let mut taken: Vec<(i32, i32, i32)> = Vec::new();
        let mut lower = 0;
        for (e, _) in rails {
            let wanted = (0..self.elements[e].ports.len()).map(|p| self.above((e, p), nets)).collect();
            let room = room(&self.elements[e]);
            let across = if self.elements[e].figure == super::element::Figure::Block {
                let own = columns(&self.elements[e]);
                let left = self.above((e, 0), nets).unwrap_or(own[0]) - own[0];
                let wide = own.iter().max().copied().unwrap_or(0) + room.right + 1;
                Across { left, wide, ports: own.into_iter().map(|x| left + x).collect() }
            } else {
                bar(&room, wanted)
            };
            let Some(place) = rows.places.get_mut(&e) else { continue };
            let (from, to) = (across.left - 1, across.left + across.wide + 1);
            let mut row = place.row + lower;
            while taken.iter().any(|(r, a, b)| *r == row && from < *b && *a < to) {
                row += 1;
                lower += 1;
            }
            place.row = row;
            taken.push((row, from, to));
            self.out.across.insert(e, across);
        }
    }

    /// The column of what a port is joined to, the nearest first.
    fn above(&self, at: At, nets: &Nets) -> Option<i32> {
        let wires = nets.at.get(&at)?;
        let other = |k: &usize| {
            let [a, b] = nets.wires[*k].ends;
            let to = if a == at { b } else { a };
            self.out.across.get(&to.0).map(|x| x.ports[to.1])
        };
        wires.iter().filter(|k| !nets.wires[**k].bridges).find_map(other)
    }
}

/// A bar with its terminals where they are wanted, from left to right; those that nothing wants before the others.
fn bar(room: &Room, wanted: Vec<Option<i32>>) -> Across {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by_key(|p| (wanted[*p], *p));
    let free = wanted.iter().filter(|w| w.is_none()).count() as i32;
    let first = wanted.iter().flatten().min().copied().unwrap_or(room.left + room.pitch * free);
    let mut ports = vec![0; wanted.len()];
    let mut next = first - room.pitch * free;
    for p in order {
        ports[p] = wanted[p].unwrap_or(next).max(next);
        next = ports[p] + room.pitch;
    }
    let (least, most) = (ports.iter().min().copied().unwrap_or(0), ports.iter().max().copied().unwrap_or(0));
    Across { left: least - room.left, wide: most - least + room.left + room.right + 1, ports }
}
