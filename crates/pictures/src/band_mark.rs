//! A band between two half-widths, what is expected in its middle, and a reading inside or outside of it.
//!
//! Pixels. A reading inside is a dot; one outside points outward, so that it is told without colour. Nothing here
//! fails.

/// The band from `low` to `high` with its middle, at the height `y`.
pub fn band(out: &mut String, [low, middle, high]: [f64; 3], y: f64) {
    out.push_str(&format!(
        "<rect x=\"{low:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"10\" fill=\"#ccc\"/>\n<line x1=\"{middle:.1}\" y1=\"{:.1}\" x2=\"{middle:.1}\" y2=\"{:.1}\" stroke=\"black\" stroke-width=\"2\"/>\n",
        y - 5.0,
        high - low,
        y - 5.0,
        y + 5.0,
    ));
}

/// A reading inside.
pub fn inside(out: &mut String, [x, y]: [f64; 2]) {
    out.push_str(&format!(
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"black\"/>\n"
    ));
}

/// A reading outside: it points to the right (1) or to the left (-1), filled as `paint` says.
pub fn outside(out: &mut String, [x, y]: [f64; 2], outward: f64, paint: &str) {
    out.push_str(&format!(
        "<path d=\"M {:.1} {:.1} L {:.1} {y:.1} L {:.1} {:.1} Z\" {paint}/>\n",
        x - 5.0 * outward,
        y - 6.0,
        x + 7.0 * outward,
        x - 5.0 * outward,
        y + 6.0,
    ));
}
