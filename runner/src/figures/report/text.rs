//! Tables as text.

use textwrap::core::display_width;

/// How a column stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Words: flush left, cut where the page ends.
    Left,
    /// Numbers: flush right, never cut.
    Right,
}

/// Widest line of a page.
pub const PAGE: usize = 90;
/// Room between columns.
const GAP: usize = 2;
/// Narrowest a column of words is cut to.
const NARROWEST: usize = 6;

/// A table with its heads. Where it is wider than the page, the widest column of words gives way.
#[must_use]
pub fn table(sides: &[Side], rows: &[Vec<String>]) -> String {
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| row.iter().map(|cell| plain(cell)).collect())
        .collect();
    let mut widths: Vec<usize> = (0..sides.len())
        .map(|column| {
            let cells = rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| display_width(cell)).max().unwrap_or(0)
        })
        .collect();
    while widths.iter().sum::<usize>() + GAP * (sides.len().saturating_sub(1)) > PAGE {
        let words = sides.iter().zip(&mut widths);
        let widest = words
            .filter(|(side, width)| **side == Side::Left && **width > NARROWEST)
            .map(|(_, width)| width)
            .max();
        match widest {
            Some(width) => *width -= 1,
            None => break,
        }
    }
    let mut page = String::new();
    for row in &rows {
        let mut line = String::new();
        for ((cell, side), width) in row.iter().zip(sides).zip(&widths) {
            if !line.is_empty() {
                line.push_str(&" ".repeat(GAP));
            }
            let cell = cut(cell, *width);
            let room = " ".repeat(width.saturating_sub(display_width(&cell)));
            match side {
                Side::Left => line.extend([cell, room]),
                Side::Right => line.extend([room, cell]),
            }
        }
        page.push_str(line.trim_end());
        page.push('\n');
    }
    page
}

/// Words of people on one line: what would move a terminal's cursor, or turn its writing round, is left
/// out.
#[must_use]
pub fn plain(words: &str) -> String {
    let spaced = words
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c });
    spaced
        .filter(|c| !c.is_control() && !turns_writing(*c))
        .collect()
}

/// Marks of Unicode that order the characters after them.
pub(super) fn turns_writing(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Words that fit a width, with a mark where something is missing.
fn cut(words: &str, width: usize) -> String {
    if display_width(words) <= width {
        return words.to_owned();
    }
    let mut kept = String::new();
    for letter in words.chars() {
        let longer = format!("{kept}{letter}");
        if display_width(&longer) + 1 > width {
            break;
        }
        kept = longer;
    }
    kept + "…"
}

/// Words filled to the page.
#[must_use]
pub fn filled(words: &str) -> String {
    textwrap::fill(words, PAGE) + "\n"
}

/// Words that go on below a line of a table.
#[must_use]
pub fn below(words: &str) -> String {
    let options = textwrap::Options::new(PAGE)
        .initial_indent("    ")
        .subsequent_indent("      ");
    textwrap::fill(&plain(words), options) + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wide_table_gives_way_where_it_has_words() {
        let rows = vec![
            vec!["name".to_owned(), "mark".to_owned(), "wrong".to_owned()],
            vec!["x".repeat(70), "71.5".to_owned(), "y".repeat(60)],
            vec!["李\u{202e}\n雷".to_owned(), "8.0".to_owned(), String::new()],
        ];
        let page = table(&[Side::Left, Side::Right, Side::Left], &rows);
        let lines: Vec<&str> = page.lines().collect();
        assert!(lines.iter().all(|line| display_width(line) <= PAGE));
        assert!(lines[1].contains("71.5") && lines[1].ends_with('…'));
        assert!(lines[2].starts_with("李 雷 "), "{page}");
        assert_eq!(lines.len(), 3);
    }
}
