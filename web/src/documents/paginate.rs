//! How a run of pieces is divided into columns of a sheet: none lost, none twice, none cut.

use std::ops::Range;

/// A piece that is not divided: a paragraph, a drawing, a row of a table.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Piece {
    /// Its height.
    pub height: f64,
    /// Height of the head of its table, which is repeated at the top of each column; 0 outside of tables.
    pub head: f64,
    /// Number of its section; the rows of a table have the same.
    pub section: usize,
    /// It does not stand last in a column: a heading.
    pub leads: bool,
}

/// Columns of a height, in order, each as a range of pieces. A piece that is higher than that has a column for itself.
/// Heights in any unit.
pub fn paginate(pieces: &[Piece], room: f64) -> Vec<Range<usize>> {
    let mut columns = Vec::new();
    let mut start = 0;
    while start < pieces.len() {
        let end = column_end(pieces, start, room);
        columns.push(start..end);
        start = end;
    }
    columns
}

/// The piece before which the column that begins with `start` ends.
fn column_end(pieces: &[Piece], start: usize, room: f64) -> usize {
    let mut height = 0.0;
    let mut end = start;
    while let Some(piece) = pieces.get(end) {
        let begins = end == start || pieces[end - 1].section != piece.section;
        height += piece.height + if begins { piece.head } else { 0.0 };
        if height > room && end > start {
            break;
        }
        end += 1;
    }
    if end == pieces.len() {
        return end;
    }
    let leading = pieces[start..end].iter().rev().take_while(|piece| piece.leads).count();
    // Where there are only headings, they stay: the next column would be no better.
    if leading < end - start { end - leading } else { end }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: f64 = 5.0;

    /// Height of a column by addition: its pieces, and a head for each section that it begins or goes on with.
    fn height(pieces: &[Piece]) -> f64 {
        let mut seen = Vec::new();
        let mut sum = 0.0;
        for piece in pieces {
            sum += piece.height;
            if !seen.contains(&piece.section) {
                seen.push(piece.section);
                sum += piece.head;
            }
        }
        sum
    }

    fn check(pieces: &[Piece]) {
        let columns = paginate(pieces, ROOM);
        let all: Vec<usize> = columns.iter().cloned().flatten().collect();
        assert_eq!(all, (0..pieces.len()).collect::<Vec<_>>(), "{pieces:?}");
        for (n, column) in columns.iter().enumerate() {
            let inside = &pieces[column.clone()];
            assert!(!inside.is_empty(), "an empty column: {pieces:?}");
            assert!(inside.len() == 1 || height(inside) <= ROOM, "too high: {inside:?}");
            let Some(next) = columns.get(n + 1) else { continue };
            let after = &pieces[next.start];
            let stranded = inside.last().is_some_and(|last| last.leads);
            assert!(!stranded || inside.iter().all(|piece| piece.leads), "a heading last: {pieces:?}");
            // What follows would not have fitted, unless it was a heading that went with the piece after it.
            let fits = height(&pieces[column.start..next.start + 1]) <= ROOM;
            assert!(!fits || after.leads, "room was left: {pieces:?}");
        }
    }

    /// Every run of up to six pieces of heights 1 to 6 in a room of 5, each once as a table with a head and once with
    /// headings at every place: by the properties that a person would check on paper.
    #[test]
    fn nothing_is_lost_doubled_or_cut_for_any_run_of_pieces() {
        let mut runs = 0;
        for length in 0..=6_u32 {
            for code in 0..6_usize.pow(length) {
                let heights = (0..length).map(|k| (1 + code / 6_usize.pow(k) % 6) as f64);
                let table: Vec<Piece> = heights
                    .enumerate()
                    .map(|(k, height)| Piece { height, head: 1.0, section: k / 3, leads: false })
                    .collect();
                check(&table);
                for mask in 0..1_usize << length {
                    let leads = |k: usize| mask >> k & 1 == 1;
                    let run: Vec<Piece> = (0..)
                        .zip(&table)
                        .map(|(k, piece)| Piece { head: 0.0, section: k, leads: leads(k), ..*piece })
                        .collect();
                    check(&run);
                }
                runs += 1;
            }
        }
        // 1 + 6 + 36 + … + 6⁶.
        assert_eq!(runs, 55_987);
    }

    /// Equal rows under a head: so many sheets as division gives, for all lengths up to 200. Rooms of 5 hold four rows
    /// of 1 below a head of 1.
    #[test]
    fn a_table_of_any_length_has_the_sheets_that_division_gives() {
        for rows in 0..=200_usize {
            let row = Piece { height: 1.0, head: 1.0, section: 0, leads: false };
            let columns = paginate(&vec![row; rows], ROOM);
            assert_eq!(columns.len(), rows.div_ceil(4));
            assert!(columns.iter().rev().skip(1).all(|column| column.len() == 4));
        }
    }
}
