//! Ferrules: the numbers on both ends of a conductor.

use super::{CHARACTER, Route};
use crate::sheets::wiring::geometry::Rect;
use crate::sheets::wiring::panel::shape::Edge;
use sealin_core::plan::{Conductor, Terminal};

/// A ferrule with the number on it; one for all conductors of a clamp that carry the same number.
#[derive(Clone, Debug, PartialEq)]
pub struct Ferrule {
    /// Where it is.
    pub area: Rect,
    /// Which way the conductor leaves.
    pub edge: Edge,
    /// What stands on it.
    pub number: String,
    /// Narrow, because beside it is another with another number.
    pub narrow: bool,
    /// Ids of the conductors in it.
    pub conductors: Vec<String>,
}

impl Ferrule {
    /// The length to which a number is squeezed that is longer than its ferrule.
    pub fn squeezed(&self) -> Option<f64> {
        let long = self.area.w.max(self.area.h) - 2.5;
        (self.number.chars().count() as f64 * CHARACTER > long).then_some(long)
    }
}

/// The ferrules of routes, conductors that share one put together. Plug-in links have none.
pub fn ferrules(routes: &[Route], conductors: &[Conductor]) -> Vec<Ferrule> {
    let mut all: Vec<(&Terminal, Ferrule)> = Vec::new();
    for r in routes.iter().filter(|r| !r.plugged) {
        let Some(c) = conductors.iter().find(|c| c.id == r.id) else { continue };
        for end in &r.ends {
            let twin = all.iter_mut().find(|(t, f)| {
                // Side by side: a third one between them keeps them apart.
                let joined = around(f.area, end.ferrule);
                let beside =
                    joined.w + joined.h <= f.area.w + f.area.h + end.ferrule.w.min(end.ferrule.h) + 0.1;
                let same = **t == end.terminal && f.edge == end.edge && f.number == c.number;
                same && beside && !f.number.is_empty()
            });
            match twin {
                Some((_, f)) => {
                    f.area = around(f.area, end.ferrule);
                    f.narrow = false;
                    f.conductors.push(r.id.clone());
                }
                None => all.push((
                    &end.terminal,
                    Ferrule {
                        area: end.ferrule,
                        edge: end.edge,
                        number: c.number.clone(),
                        narrow: end.neighbours > 1,
                        conductors: vec![r.id.clone()],
                    },
                )),
            }
        }
    }
    all.into_iter().map(|(_, f)| f).collect()
}

fn around(a: Rect, b: Rect) -> Rect {
    let (x, y) = (a.x.min(b.x), a.y.min(b.y));
    Rect::new(x, y, a.right().max(b.right()) - x, a.bottom().max(b.bottom()) - y)
}
