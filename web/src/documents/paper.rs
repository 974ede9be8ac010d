//! The paper: sizes and the fields of the grid references, after ISO 216 and ISO 5457.

/// The smallest letters on paper, mm: 7 pt.
pub const LEAST_MM: f64 = 7.0 * 25.4 / 72.0;

/// A size of paper, laid across.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Paper {
    /// 297 mm × 210 mm.
    #[default]
    A4,
    /// 420 mm × 297 mm.
    A3,
}

impl Paper {
    /// Both, the smaller first.
    pub const ALL: [Paper; 2] = [Paper::A4, Paper::A3];

    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::A3 => "A3",
        }
    }

    /// The size of this name.
    pub fn from_word(word: &str) -> Option<Paper> {
        Paper::ALL.into_iter().find(|paper| paper.word() == word)
    }

    /// The class of what is laid out for it; the style sheet has the same measures.
    pub fn class(self) -> &'static str {
        match self {
            Paper::A4 => "doc-a4",
            Paper::A3 => "doc-a3",
        }
    }

    /// Columns of a document with narrow columns.
    pub fn columns(self) -> usize {
        match self {
            Paper::A4 => 2,
            Paper::A3 => 3,
        }
    }

    /// Cells of 86 CSS pixels, 22.75 mm, in a line of a rung; besides them a line has 11.6 mm for number and rail.
    pub fn rung_cells(self) -> u32 {
        match self {
            Paper::A4 => 10,
            Paper::A3 => 16,
        }
    }

    /// Width and height of the space for a drawing, mm: within the frame, above the title block.
    pub fn room_mm(self) -> (f64, f64) {
        match self {
            Paper::A4 => (261.0, 160.0),
            Paper::A3 => (384.0, 247.0),
        }
    }

    /// Fields along an edge: across, and down (ISO 5457: fields of 50 mm from the middle of the sheet on).
    pub fn fields(self) -> (usize, usize) {
        match self {
            Paper::A4 => (6, 4),
            Paper::A3 => (8, 6),
        }
    }

    /// Whether references stand on all four sides; on A4 only at the top and at the right (ISO 5457).
    pub fn all_sides(self) -> bool {
        self == Paper::A3
    }
}

/// The letter of a field from the top; I and O are left out (ISO 5457).
pub fn letter(field: usize) -> char {
    const LETTERS: [char; 8] = ['A', 'B', 'C', 'D', 'E', 'F', 'G', 'H'];
    LETTERS[field % LETTERS.len()]
}

/// A drawing in equal windows, across and down: as few as are needed for `least_mm`, mm of paper for a unit of the
/// drawing. Each window shows `overlap` units of its neighbours at either side.
pub fn windows(paper: Paper, (w, h): (f64, f64), overlap: f64, least_mm: f64) -> (usize, usize) {
    const MOST: usize = 6;
    let (room_w, room_h) = paper.room_mm();
    let reaches = |&(across, down): &(usize, usize)| {
        let scale_w = room_w / (w / across as f64 + 2.0 * overlap);
        let scale_h = room_h / (h / down as f64 + 2.0 * overlap);
        scale_w.min(scale_h) >= least_mm
    };
    let mut all: Vec<(usize, usize)> = (1..=MOST).flat_map(|a| (1..=MOST).map(move |d| (a, d))).collect();
    all.sort_by_key(|(across, down)| (across * down, *across));
    all.into_iter().find(reaches).unwrap_or((MOST, MOST))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 5457: frame 20 mm from the left edge and 10 mm from the others; the middle of the sheet lies on a field's
    /// edge, and the fields beyond whole ones of 50 mm are what is left up to the frame.
    #[test]
    fn fields_fill_the_edges() {
        for (paper, w, h) in [(Paper::A4, 297.0, 210.0), (Paper::A3, 420.0, 297.0)] {
            let fields = |half: f64, margin: f64| ((half - margin) / 50.0_f64).ceil() as usize;
            let across = fields(w / 2.0, 20.0) + fields(w / 2.0, 10.0);
            let down = 2 * fields(h / 2.0, 10.0);
            let (a, d) = paper.fields();
            // A rest that is shorter than half a field goes to its neighbour.
            assert!(a == across && d.abs_diff(down) <= 2, "{paper:?}: {across} {down}");
        }
        assert_eq!((letter(0), letter(3)), ('A', 'D'));
        assert!(Paper::ALL.into_iter().all(|paper| Paper::from_word(paper.word()) == Some(paper)));
    }

    /// By hand: 900 × 720 units on A4 have 160 mm / 720 = 0.22 mm a unit as a whole. For 0.41, two by two with 10 units
    /// of overlap have min(261 / 470, 160 / 380) = 0.42. On A3 one by two have min(384 / 920, 247 / 380) = 0.417.
    #[test]
    fn a_drawing_is_divided_only_as_far_as_its_figures_need() {
        assert_eq!(windows(Paper::A4, (900.0, 720.0), 10.0, 0.41), (2, 2));
        assert_eq!(windows(Paper::A3, (900.0, 720.0), 10.0, 0.41), (1, 2));
        assert_eq!(windows(Paper::A4, (900.0, 720.0), 0.0, 0.2), (1, 1));
        assert_eq!(windows(Paper::A4, (1e6, 1e6), 0.0, 1.0), (6, 6));
    }

    /// A line of a rung fits the space: cells and 44 CSS pixels, 96 to an inch.
    #[test]
    fn a_rung_fits_the_sheet() {
        for paper in Paper::ALL {
            let line_mm = f64::from(paper.rung_cells() * 86 + 44) * 25.4 / 96.0;
            let (room, _) = paper.room_mm();
            assert!(line_mm <= room && room - line_mm < 2.0 * 22.75, "{paper:?}: {line_mm}");
        }
    }
}
