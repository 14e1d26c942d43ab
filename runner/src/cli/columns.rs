//! Text in columns: each as wide as its widest cell, and no line wider than a page.

use textwrap::core::display_width;

/// Room between two columns.
const GAP: usize = 2;
/// Widest a column other than the last is made, as a share of the page; longer cells go on below
/// themselves.
const WIDEST: (usize, usize) = (3, 7);

/// Columns of rows that belong together; the last takes what the page leaves.
pub(super) struct Columns<const N: usize> {
    indent: usize,
    widths: [usize; N],
}

impl<const N: usize> Columns<N> {
    /// Columns that hold some rows, behind an indent, on a page of a width.
    pub(super) fn of<'a>(
        indent: usize,
        rows: impl IntoIterator<Item = [&'a str; N]>,
        page: usize,
    ) -> Self {
        let widest = page * WIDEST.0 / WIDEST.1;
        let mut widths = [0; N];
        for row in rows {
            for (width, cell) in widths.iter_mut().zip(row) {
                *width = display_width(cell).min(widest).max(*width);
            }
        }
        let before_last: usize = widths.iter().rev().skip(1).map(|width| width + GAP).sum();
        if let Some(last) = widths.last_mut() {
            *last = page.saturating_sub(indent + before_last);
        }
        Self { indent, widths }
    }

    /// A row, without the end of its last line.
    pub(super) fn row(&self, cells: [&str; N]) -> String {
        let mut broken = self.widths.iter().zip(cells).map(|(width, cell)| {
            let options = textwrap::Options::new(*width)
                .break_words(false)
                .word_splitter(textwrap::WordSplitter::NoHyphenation);
            textwrap::wrap(cell, options)
        });
        let broken: [_; N] = std::array::from_fn(|_| broken.next().unwrap_or_default());
        let height = broken.iter().map(Vec::len).max().unwrap_or(0);
        let lines = (0..height).map(|number| {
            let mut line = " ".repeat(self.indent);
            for (lines, width) in broken.iter().zip(&self.widths) {
                let piece = lines.get(number).map_or("", |piece| piece);
                line.push_str(piece);
                line.push_str(&" ".repeat((width + GAP).saturating_sub(display_width(piece))));
            }
            line.truncate(line.trim_end().len());
            line
        });
        lines.collect::<Vec<_>>().join("\n")
    }
}

/// Rows in columns, each row with the end of its line.
pub(super) fn table<S: AsRef<str>, const N: usize>(
    indent: usize,
    rows: &[[S; N]],
    page: usize,
) -> String {
    let columns = Columns::of(indent, rows.iter().map(cells), page);
    rows.iter()
        .map(|row| columns.row(cells(row)) + "\n")
        .collect()
}

fn cells<S: AsRef<str>, const N: usize>(row: &[S; N]) -> [&str; N] {
    row.each_ref().map(AsRef::as_ref)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_is_as_wide_as_its_widest_cell_and_long_cells_go_on_below() {
        let long = "word ".repeat(30);
        let rows = [
            ["a", "bb", long.trim()],
            ["aaa", "b", "short"],
            ["", "", ""],
        ];
        let text = table(1, &rows, 98);
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines.iter().all(|line| line.chars().count() <= 98));
        assert!(lines[0].starts_with(" a    bb  word word"), "{text}");
        assert!(lines[1].starts_with("          word"), "{text}");
        assert_eq!(lines[2], " aaa  b   short");
        assert_eq!(lines.len(), 4);
    }
}
