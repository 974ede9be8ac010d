//! Where the potential of a terminal is printed.

use super::Spot;
use super::shape::Edge;
use crate::sheets::wiring::geometry::Point;

impl Spot {
    /// Where the potential is printed, and whether the words run upwards.
    pub fn potential(&self) -> (Point, bool) {
        // Clear of a ferrule that holds two conductors.
        const BESIDE: f64 = 13.0;
        // Beside the conductor, beyond the ferrule.
        const NARROW: f64 = 8.3;
        let at = self.clamps.first().map_or(Point::default(), |c| c.at);
        match self.clamps.first().map(|c| c.edge) {
            Some(Edge::Top) if self.narrow => (Point::new(at.x + NARROW, at.y - 25.0), true),
            Some(Edge::Top) => (Point::new(at.x + BESIDE, at.y - 6.0), true),
            Some(Edge::Bottom) => (Point::new(at.x + BESIDE, at.y + 38.0), true),
            _ => (Point::new(at.x + 6.0, at.y - 7.0), false),
        }
    }
}
