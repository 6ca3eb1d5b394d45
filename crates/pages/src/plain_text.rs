//! An answer of this program without its tags, as it is kept in a restoration.
//!
//! For the pages' own HTML, which is well formed: a line for each paragraph, head, row and point of a list, two spaces
//! between the cells of a row. Pictures and forms are left out, folded parts are not. Nothing here fails.

/// What is left out whole.
const LEFT_OUT: &[&str] = &["svg", "script", "form", "noscript", "nav"];
/// What stands on lines of its own.
const BLOCKS: &[&str] = &[
    "p",
    "h1",
    "h2",
    "h3",
    "h4",
    "li",
    "tr",
    "summary",
    "figcaption",
    "div",
    "section",
    "ul",
    "ol",
    "table",
    "details",
    "figure",
    "thead",
    "tbody",
];

/// The words of an answer.
pub fn plain_text(html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        out.push_str(&letters(&rest[..at]));
        let Some(end) = rest[at..].find('>') else {
            rest = "";
            break;
        };
        let tag = &rest[at + 1..at + end];
        rest = &rest[at + end + 1..];
        let closes = tag.starts_with('/');
        let name = tag.trim_start_matches('/');
        let name = name
            .split(|letter: char| !letter.is_ascii_alphanumeric())
            .next()
            .unwrap_or_default();
        if !closes && LEFT_OUT.contains(&name) {
            let close = format!("</{name}>");
            rest = rest.split_once(&close).map_or("", |(_, behind)| behind);
        } else if BLOCKS.contains(&name) {
            out.push('\n');
            if !closes && name == "li" {
                out.push_str("- ");
            }
        } else if closes && matches!(name, "td" | "th") {
            out.push_str("  ");
        }
    }
    out.push_str(&letters(rest));
    let lines = out
        .lines()
        .map(str::trim_end)
        .filter(|line| !line.trim().is_empty() && line.trim() != "-");
    let lines: Vec<&str> = lines.collect();
    lines.join("\n")
}

/// The letters that HTML writes otherwise.
fn letters(text: &str) -> String {
    text.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_keeps_its_words_and_loses_pictures_and_forms() {
        let html = "<h2>C50 first</h2><figure><div><svg><text>x</text></svg></div><figcaption>Of 100</figcaption></figure>\
                    <table><thead><tr><th scope=\"col\">at</th><th>low</th></tr></thead><tbody><tr><th scope=\"row\">V9.5</th><td class=\"figure\">1 &lt; 2 V</td></tr></tbody></table>\
                    <ul><li>one <b>bold</b></li><li></li></ul><form><p>Enter</p></form><p>R &amp; C &quot;x&quot; &amp;lt;</p>";
        assert_eq!(
            plain_text(html),
            "C50 first\nOf 100\nat  low\nV9.5  1 < 2 V\n- one bold\nR & C \"x\" &lt;"
        );
        assert_eq!(plain_text("<p"), "");
        assert_eq!(plain_text(""), "");
    }
}
