//! Words in SVG pictures, and the names that keep clear of each other.
//!
//! Pixels. A character that XML cannot have is left away. Nothing here fails.

/// Adds a text at a point.
pub fn text(out: &mut String, [x, y]: [f64; 2], anchor: &str, size: f64, words: &str) {
    out.push_str(&format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" font-size=\"{size}\">{}</text>\n",
        escaped(words)
    ));
}

/// A name of at most so many letters, so that it keeps clear of what stands beside it.
pub fn shortened(name: &str, longest: usize) -> String {
    if name.chars().count() <= longest {
        return name.to_owned();
    }
    let kept: String = name.chars().take(longest.saturating_sub(1)).collect();
    format!("{kept}…")
}

/// A text with what XML needs escaped.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            other if other.is_control() => {}
            other => out.push(other),
        }
    }
    out
}
