//! What a document is made of.

use super::paginate::Piece;
use std::ops::Range;
use yew::prelude::*;

/// What stands in a document.
pub enum Body {
    /// A run of sections, divided over as many sheets as it needs.
    Run {
        /// In columns of a hand's width, or over the whole width.
        narrow: bool,
        /// Its sections.
        sections: Vec<Section>,
    },
    /// Drawings, each on a sheet of its own, with what it shows where that is not the whole.
    Drawings(Vec<(Option<String>, Html)>),
}

/// A section of a run.
pub enum Section {
    /// A piece that is not divided; one that leads does not stand last on a sheet.
    Block {
        /// What it shows.
        html: Html,
        /// It is a heading.
        leads: bool,
    },
    /// A table; it is divided between its rows, and its head is repeated.
    Table {
        /// Class with the widths of its columns.
        class: &'static str,
        /// Heads of its columns; none for a list.
        heads: Vec<Html>,
        /// Its rows, as cells.
        rows: Vec<Vec<Html>>,
    },
}

/// A heading.
pub fn heading(text: impl Into<AttrValue>) -> Section {
    Section::Block { html: html! { <h2>{ text.into() }</h2> }, leads: true }
}

/// A paragraph.
pub fn paragraph(text: impl Into<AttrValue>) -> Section {
    block(html! { <p>{ text.into() }</p> })
}

/// Something that is not divided.
pub fn block(html: Html) -> Section {
    Section::Block { html, leads: false }
}

/// A table.
pub fn table<const N: usize>(
    class: &'static str,
    heads: [&'static str; N],
    rows: impl IntoIterator<Item = [Html; N]>,
) -> Section {
    let rows = rows.into_iter().map(Vec::from).collect();
    Section::Table { class, heads: heads.map(Html::from).into(), rows }
}

/// Text as a cell.
pub fn cell(text: impl Into<AttrValue>) -> Html {
    Html::from(text.into().to_string())
}

impl Section {
    /// Pieces that it is divided into.
    fn len(&self) -> usize {
        match self {
            Section::Block { .. } => 1,
            Section::Table { rows, .. } => rows.len(),
        }
    }

    /// Draws some of its pieces.
    fn draw(&self, pieces: Range<usize>) -> Html {
        match self {
            Section::Block { html, .. } => {
                html! { <div class="doc-piece" data-piece="">{ html.clone() }</div> }
            }
            Section::Table { class, heads, rows } => html! {
                <table class={classes!("doc-table", *class)}>
                    if !heads.is_empty() {
                        <thead data-head=""><tr>{ for heads.iter().map(|head| html! { <th scope="col">{ head.clone() }</th> }) }</tr></thead>
                    }
                    <tbody>
                        { for rows[pieces].iter().map(|row| html! {
                            <tr data-piece="">{ for row.iter().map(|cell| html! { <td>{ cell.clone() }</td> }) }</tr>
                        }) }
                    </tbody>
                </table>
            },
        }
    }
}

/// Draws some of the pieces of a run.
pub fn draw(sections: &[Section], pieces: Range<usize>) -> Html {
    let mut first = 0;
    let mut drawn = Vec::new();
    for section in sections {
        let last = first + section.len();
        let (from, to) = (pieces.start.max(first), pieces.end.min(last));
        if from < to {
            drawn.push(section.draw(from - first..to - first));
        }
        first = last;
    }
    drawn.into_iter().collect()
}

/// The pieces of a run with their heights as measured: of the pieces, and of the heads of the tables, in order.
pub fn measured(
    sections: &[Section],
    heights: &mut impl Iterator<Item = f64>,
    heads: &mut impl Iterator<Item = f64>,
) -> Vec<Piece> {
    let mut all = Vec::new();
    for (n, section) in sections.iter().enumerate() {
        let (head, leads) = match section {
            Section::Block { leads, .. } => (0.0, *leads),
            // A table without rows is not drawn.
            Section::Table { rows, .. } if rows.is_empty() => continue,
            Section::Table { heads: none, .. } if none.is_empty() => (0.0, false),
            Section::Table { .. } => (heads.next().unwrap_or_default(), false),
        };
        let heights = heights.by_ref().take(section.len());
        all.extend(heights.map(|height| Piece { height, head, section: n, leads }));
    }
    all
}

/// Number of pieces of a run.
pub fn count(sections: &[Section]) -> usize {
    sections.iter().map(Section::len).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(rows: usize) -> Vec<Section> {
        vec![heading("a"), table("t", ["x"], (0..rows).map(|n| [cell(n.to_string())])), paragraph("b")]
    }

    /// Pieces are counted, measured and drawn in the same order.
    #[test]
    fn heights_go_to_their_pieces() {
        for rows in 0..20 {
            let sections = run(rows);
            assert_eq!(count(&sections), rows + 2);
            let mut heights = (0..).map(f64::from);
            let mut heads = std::iter::repeat(100.0);
            let pieces = measured(&sections, &mut heights, &mut heads);
            let own: Vec<f64> = pieces.iter().map(|piece| piece.height).collect();
            assert_eq!(own, (0..rows + 2).map(|n| n as f64).collect::<Vec<_>>());
            assert!(pieces[0].leads && pieces[0].head == 0.0);
            assert!(pieces[1..=rows].iter().all(|piece| piece.head == 100.0 && piece.section == 1));
            assert_eq!(pieces.last().map(|piece| (piece.section, piece.head)), Some((2, 0.0)));
        }
    }
}
