//! The column beside the panel: supply, operator station, field.

use super::away::OUTSIDE;
use super::devices::shape;
use super::{COLUMN, Frame, Outside, Panel};
use crate::sheets::wiring::class::Practice;
use crate::sheets::wiring::geometry::Rect;
use sealin_core::part::{Kind, Part, Place};

impl Panel {
    /// Places what is outside the panel in the left column; returns how far down it reaches.
    pub(super) fn outside(&mut self, parts: &[Part], run: usize, height: f64, practice: Practice) -> f64 {
        const INSET: f64 = 4.0;
        const TITLE: f64 = 17.0;
        let field = |p: &&Part| p.place == Place::Field;
        let supply: Vec<&Part> =
            parts.iter().filter(field).filter(|p| matches!(p.kind, Kind::Supply(_))).collect();
        let machine: Vec<&Part> =
            parts.iter().filter(field).filter(|p| !matches!(p.kind, Kind::Supply(_))).collect();
        let mut station: Vec<&Part> = parts.iter().filter(|p| p.place == Place::Station).collect();
        // What is worked comes before what only has to be earthed.
        station.sort_by_key(|p| matches!(p.kind, Kind::Strip(_)));
        let groups = [(Outside::Supply, supply), (Outside::Station, station), (Outside::Field, machine)];
        let needed: f64 = groups
            .iter()
            .filter(|(_, g)| !g.is_empty())
            .map(|(_, g)| TITLE + INSET + g.iter().map(|p| shape(p, 0.0, practice).h + INSET).sum::<f64>())
            .sum();
        let filled = groups.iter().filter(|(_, g)| !g.is_empty()).count().max(1) as f64;
        let space = ((height - needed) / filled).clamp(10.0, 40.0);
        let mut y = 0.0;
        for (holds, group) in groups.into_iter().filter(|(_, g)| !g.is_empty()) {
            let top = y;
            y += TITLE;
            for part in group {
                let s = shape(part, 0.0, practice);
                let area = Rect::new(COLUMN - 6.0 - OUTSIDE, y, OUTSIDE, s.h);
                y += s.h + INSET;
                self.place(part, s, area, [run, run], false);
            }
            self.frames.push(Frame { area: Rect::new(0.0, top, COLUMN, y - top), holds });
            y += space;
        }
        y - space
    }
}
