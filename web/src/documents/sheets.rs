//! Which sheets a set of documents has, and what stands on each.

use super::content::{Body, count, measured};
use super::list::Document;
use super::paginate::paginate;
use super::paper::Paper;
use std::iter;
use std::ops::Range;

/// A sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Number of the document.
    pub document: usize,
    /// Pieces of a run, column by column; of drawings, the number of the one that it shows.
    pub columns: Vec<Range<usize>>,
    /// Number among the sheets of its document, from 1, and how many there are.
    pub part: (usize, usize),
}

/// What was measured of the runs, in order.
pub struct Measures {
    /// Height of the space on a sheet.
    pub room: f64,
    /// Heights of all pieces.
    pub pieces: Vec<f64>,
    /// Heights of all heads of tables.
    pub heads: Vec<f64>,
}

/// The sheets of a set. A document is never without a sheet.
pub fn sheets(documents: &[Document], paper: Paper, measures: &Measures) -> Vec<Sheet> {
    let mut heights = measures.pieces.iter().copied();
    let mut heads = measures.heads.iter().copied();
    let mut all = Vec::new();
    for (document, Document { body, .. }) in documents.iter().enumerate() {
        let on_sheets: Vec<Vec<Range<usize>>> = match body {
            Body::Drawings(drawings) => (0..drawings.len()).map(|n| iter::once(n..n + 1).collect()).collect(),
            Body::Run { narrow, sections } => {
                let pieces = measured(sections, &mut heights, &mut heads);
                debug_assert_eq!(pieces.len(), count(sections));
                let columns = paginate(&pieces, measures.room);
                let abreast = if *narrow { paper.columns() } else { 1 };
                let mut on_sheets: Vec<_> = columns.chunks(abreast).map(<[_]>::to_vec).collect();
                if on_sheets.is_empty() {
                    on_sheets.push(Vec::new());
                }
                on_sheets
            }
        };
        let of = on_sheets.len();
        all.extend((1..).zip(on_sheets).map(|(n, columns)| Sheet { document, columns, part: (n, of) }));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::documents::content::{cell, heading, table};
    use yew::Html;

    fn document(rows: usize, narrow: bool) -> Document {
        let sections = vec![heading("a"), table("t", ["x"], (0..rows).map(|n| [cell(n.to_string())]))];
        Document { title: "d", body: Body::Run { narrow, sections } }
    }

    /// Every piece of every document is on one sheet, each document has its sheets in order, for all lengths of two lists
    /// up to 40, on both sizes.
    #[test]
    fn every_piece_is_on_one_sheet() {
        for paper in Paper::ALL {
            for rows in 0..=40_usize {
                let drawings = Body::Drawings(vec![(None, Html::default()), (None, Html::default())]);
                let documents = [
                    document(rows, false),
                    Document { title: "d", body: drawings },
                    document(40 - rows, true),
                ];
                let measures = Measures { room: 10.0, pieces: vec![2.0; 42], heads: vec![1.0; 2] };
                let all = sheets(&documents, paper, &measures);
                let mut on: Vec<Vec<usize>> = vec![Vec::new(); 3];
                for sheet in &all {
                    on[sheet.document].extend(sheet.columns.iter().cloned().flatten());
                }
                assert_eq!(on[0], (0..=rows).collect::<Vec<_>>());
                assert_eq!(on[1], [0, 1]);
                assert_eq!(on[2], (0..=40 - rows).collect::<Vec<_>>());
                assert!(all.windows(2).all(|two| two[0].document <= two[1].document));
                for number in 0..3 {
                    let own: Vec<_> = all.iter().filter(|sheet| sheet.document == number).collect();
                    let parts: Vec<_> = own.iter().map(|sheet| sheet.part).collect();
                    assert_eq!(parts, (1..=own.len()).map(|n| (n, own.len())).collect::<Vec<_>>());
                }
                let most = paper.columns();
                assert!(
                    all.iter().filter(|sheet| sheet.document == 2).all(|sheet| sheet.columns.len() <= most)
                );
            }
        }
    }
}
