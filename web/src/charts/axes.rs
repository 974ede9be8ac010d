//! The two measures of a chart, and the field between them.

/// A measure along one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// Equal steps, equal lengths.
    Even {
        /// Value at the left or lower end.
        from: f64,
        /// Value at the right or upper end.
        to: f64,
    },
    /// Equal ratios, equal lengths.
    Ratio {
        /// Value at the left or lower end, above 0.
        from: f64,
        /// Value at the right or upper end.
        to: f64,
    },
}

impl Scale {
    /// Where a value lies: 0 at the left or lower end, 1 at the other; beyond them outside.
    pub fn place(self, value: f64) -> f64 {
        match self {
            Scale::Even { from, to } => (value - from) / (to - from),
            Scale::Ratio { from, to } => (value.max(1e-9) / from).ln() / (to / from).ln(),
        }
    }

    /// Where a value lies, held on the chart.
    pub fn held(self, value: f64) -> f64 {
        self.place(value).clamp(0.0, 1.0)
    }
}

/// A rectangle of the paper with its two scales, CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Measure to the right.
    pub x: Scale,
    /// Measure upwards.
    pub y: Scale,
}

impl Field {
    /// Right edge.
    pub fn right(&self) -> f64 {
        self.left + self.width
    }

    /// Lower edge.
    pub fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// The x of a value, not held.
    pub fn at_x(&self, value: f64) -> f64 {
        self.left + self.x.place(value) * self.width
    }

    /// The y of a value, not held.
    pub fn at_y(&self, value: f64) -> f64 {
        self.bottom() - self.y.place(value) * self.height
    }

    /// The place of a pair of values, held in the field.
    pub fn held(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.left + self.x.held(x) * self.width, self.bottom() - self.y.held(y) * self.height)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_ratios_have_equal_lengths() {
        let scale = Scale::Ratio { from: 1.0, to: 10.0 };
        assert_eq!([scale.place(1.0), scale.place(10.0)], [0.0, 1.0]);
        let steps = [2.0, 4.0, 8.0].map(|v| scale.place(v));
        assert!((steps[1] - steps[0] - (steps[2] - steps[1])).abs() < 1e-12);
        assert_eq!([scale.held(0.0), scale.held(99.0)], [0.0, 1.0]);
    }

    #[test]
    fn up_is_up() {
        let even = |from, to| Scale::Even { from, to };
        let field = Field {
            left: 40.0,
            top: 10.0,
            width: 200.0,
            height: 100.0,
            x: even(-1.0, 1.0),
            y: even(0.0, 50.0),
        };
        assert_eq!(field.held((0.0, 0.0)), (140.0, 110.0));
        assert_eq!(field.held((9.0, 99.0)), (field.right(), field.top));
        assert!(field.at_y(60.0) < field.top);
    }
}
