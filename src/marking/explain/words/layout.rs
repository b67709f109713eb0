//! Lines and tables of the explanation.

/// Lines are broken before this column.
const WIDTH: usize = 98;

/// A row of a table: its name, and its cells.
pub(super) type Row = (String, Vec<String>);

/// Makes a row.
pub(super) fn row<const N: usize>(name: &str, cells: [String; N]) -> Row {
    (name.to_owned(), cells.into())
}

/// Sets a table: names to the left, columns to the right, as wide as they have to be.
pub(super) fn table(rows: &[Row]) -> String {
    let length = |text: &str| text.chars().count();
    let name = rows.iter().map(|(name, _)| length(name)).max().unwrap_or(0);
    let columns = rows.first().map_or(0, |(_, cells)| cells.len());
    let widths: Vec<usize> = (0..columns)
        .map(|place| {
            rows.iter()
                .filter_map(|(_, cells)| cells.get(place))
                .map(|cell| length(cell))
                .max()
                .unwrap_or(0)
        })
        .collect();
    let mut out = String::new();

    for (text, cells) in rows {
        let mut line = format!("  {text:<name$}");
        for (cell, width) in cells.iter().zip(&widths) {
            line += &format!("   {cell:>width$}");
        }
        out += line.trim_end();
        out.push('\n');
    }

    out
}

/// Breaks a text into lines, indented; what follows the first stands a little further in.
pub(super) fn line(indent: usize, text: &str) -> String {
    // Runs of blanks set columns and stay.
    let mut out = " ".repeat(indent);
    let mut column = indent;

    for (place, word) in text.split(' ').enumerate() {
        let length = word.chars().count();
        if place > 0 && column + 1 + length > WIDTH {
            out.truncate(out.trim_end().len());
            out.push('\n');
            out += &" ".repeat(indent + 2);
            column = indent + 2;
        } else if place > 0 {
            out.push(' ');
            column += 1;
        }
        out += word;
        column += length;
    }
    out.push('\n');

    out
}
