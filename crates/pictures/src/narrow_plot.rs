//! A plot for a narrow page: axes with round marks, bands, curves, points and a list of signs.
//!
//! Pixels; 440 wide, letters of 14, so that it can be read on a page of 390. Curves differ by
//! their dashes, points by their form, bands are light grey: nothing is lost without colour.
//! Values that are no numbers are left out. Nothing here fails.

use super::svg_text::{escaped, text};

/// Width of the picture.
pub const WIDTH: f64 = 440.0;
/// Size of its letters.
pub const LETTER: f64 = 14.0;
const LEFT: f64 = 54.0;
const RIGHT: f64 = 424.0;
const TOP: f64 = 76.0;
const BOTTOM: f64 = 336.0;
const LINE: f64 = 22.0;

/// How a curve or a point looks.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// A line with these dashes; empty for a full one.
    Line(&'static str, u8),
    /// A ring.
    Ring,
    /// A cross.
    Cross,
    /// A triangle that points up.
    Up,
    /// A grey band.
    Band,
}

/// A plot under work.
pub struct NarrowPlot {
    out: String,
    signs: Vec<(Sign, String)>,
    across: f64,
    upward: f64,
}

impl NarrowPlot {
    /// Begins with titles, axes from 0 to these ends, and their names.
    pub fn new(titles: [&str; 2], (across, upward): (f64, f64), names: [&str; 2]) -> NarrowPlot {
        let mut plot = NarrowPlot {
            out: String::new(),
            signs: Vec::new(),
            across: if across > 0.0 { across } else { 1.0 },
            upward: if upward > 0.0 { upward } else { 1.0 },
        };
        text(
            &mut plot.out,
            [WIDTH / 2.0, 26.0],
            "middle",
            17.0,
            titles[0],
        );
        text(
            &mut plot.out,
            [WIDTH / 2.0, 46.0],
            "middle",
            LETTER,
            titles[1],
        );
        plot.axes(names);
        plot
    }

    fn axes(&mut self, names: [&str; 2]) {
        for value in marks(self.upward) {
            let [_, y] = self.place(0.0, value);
            self.stroke(&format!("M{LEFT} {y:.1}H{RIGHT}"), "#ddd", 1.0, "");
            text(
                &mut self.out,
                [LEFT - 6.0, y + 5.0],
                "end",
                LETTER,
                &short(value),
            );
        }
        for value in marks(self.across) {
            let [x, _] = self.place(value, 0.0);
            self.stroke(&format!("M{x:.1} {BOTTOM}v5"), "black", 1.0, "");
            text(
                &mut self.out,
                [x, BOTTOM + 20.0],
                "middle",
                LETTER,
                &short(value),
            );
        }
        self.stroke(&format!("M{LEFT} {TOP}V{BOTTOM}H{RIGHT}"), "black", 1.5, "");
        text(
            &mut self.out,
            [LEFT - 6.0, TOP - 10.0],
            "start",
            LETTER,
            names[1],
        );
        text(
            &mut self.out,
            [RIGHT, BOTTOM + 40.0],
            "end",
            LETTER,
            names[0],
        );
    }

    fn place(&self, across: f64, upward: f64) -> [f64; 2] {
        let share = |value: f64, end: f64| (value / end).clamp(0.0, 1.0);
        [
            LEFT + (RIGHT - LEFT) * share(across, self.across),
            BOTTOM - (BOTTOM - TOP) * share(upward, self.upward),
        ]
    }

    fn stroke(&mut self, path: &str, ink: &str, width: f64, dashes: &str) {
        let dashes = match dashes {
            "" => String::new(),
            dashes => format!(" stroke-dasharray=\"{dashes}\""),
        };
        self.out.push_str(&format!(
            "<path d=\"{path}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\"{dashes}/>\n"
        ));
    }

    fn path(&self, points: &[(f64, f64)]) -> String {
        let mut path = String::new();
        for (across, upward) in points {
            if across.is_finite() && upward.is_finite() {
                let [x, y] = self.place(*across, *upward);
                let letter = if path.is_empty() { 'M' } else { 'L' };
                path.push_str(&format!("{letter}{x:.1} {y:.1}"));
            }
        }
        path
    }

    /// A grey band between two curves.
    pub fn band(&mut self, low: &[(f64, f64)], high: &[(f64, f64)], name: &str) {
        let round: Vec<(f64, f64)> = low.iter().chain(high.iter().rev()).copied().collect();
        let path = self.path(&round);
        self.out.push_str(&format!(
            "<path d=\"{path}Z\" fill=\"#d8d8d8\" stroke=\"#888\" stroke-width=\"0.8\"/>\n"
        ));
        self.signs.push((Sign::Band, name.to_owned()));
    }

    /// A curve; a name only where it is to stand in the list.
    pub fn curve(&mut self, points: &[(f64, f64)], sign: Sign, name: &str) {
        let Sign::Line(dashes, width) = sign else {
            return;
        };
        let path = self.path(points);
        self.stroke(&path, "black", f64::from(width), dashes);
        if !name.is_empty() {
            self.signs.push((sign, name.to_owned()));
        }
    }

    /// Points of one form.
    pub fn points(&mut self, points: &[(f64, f64)], sign: Sign, name: &str) {
        for (across, upward) in points {
            if across.is_finite() && upward.is_finite() {
                let at = self.place(*across, *upward);
                self.mark(at, sign);
            }
        }
        if !points.is_empty() {
            self.signs.push((sign, name.to_owned()));
        }
    }

    /// A level across the whole plot with its words above it.
    pub fn level(&mut self, upward: f64, words: &str) {
        let [_, y] = self.place(0.0, upward);
        self.stroke(&format!("M{LEFT} {y:.1}H{RIGHT}"), "black", 1.6, "2 3");
        text(&mut self.out, [RIGHT - 4.0, y - 5.0], "end", LETTER, words);
    }

    /// An upright line at one place.
    pub fn upright(&mut self, across: f64, words: &str) {
        let [x, _] = self.place(across, 0.0);
        self.stroke(&format!("M{x:.1} {TOP}V{BOTTOM}"), "#555", 1.0, "4 4");
        let (anchor, x) = if x > 0.7 * WIDTH {
            ("end", x - 4.0)
        } else {
            ("start", x + 4.0)
        };
        text(&mut self.out, [x, BOTTOM - 8.0], anchor, LETTER, words);
    }

    /// A span at the right edge.
    pub fn span(&mut self, low: f64, high: f64, name: &str) {
        let [_, bottom] = self.place(0.0, low);
        let [_, top] = self.place(0.0, high);
        let x = RIGHT + 6.0;
        self.stroke(
            &format!(
                "M{:.1} {bottom:.1}h8M{:.1} {top:.1}h8M{x} {bottom:.1}V{top:.1}",
                x - 4.0,
                x - 4.0
            ),
            "black",
            3.0,
            "",
        );
        self.signs.push((Sign::Line("", 4), name.to_owned()));
    }

    fn mark(&mut self, [x, y]: [f64; 2], sign: Sign) {
        let path = match sign {
            Sign::Ring => {
                self.out.push_str(&format!(
                    "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"white\" stroke=\"black\" stroke-width=\"1.8\"/>\n"
                ));
                return;
            }
            Sign::Cross => format!("M{:.1} {:.1}l9 9m0 -9l-9 9", x - 4.5, y - 4.5),
            Sign::Up => format!("M{:.1} {:.1}l5.5 -10l5.5 10z", x - 5.5, y + 5.0),
            Sign::Band => {
                self.out.push_str(&format!(
                    "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"32\" height=\"11\" fill=\"#d8d8d8\" stroke=\"#888\"/>\n",
                    x - 16.0,
                    y - 6.0
                ));
                return;
            }
            Sign::Line(dashes, width) => {
                let path = format!("M{:.1} {y:.1}h32", x - 16.0);
                self.stroke(&path, "black", f64::from(width), dashes);
                return;
            }
        };
        self.stroke(&path, "black", 2.0, "");
    }

    /// The whole file, with its list of signs and its words.
    pub fn svg(mut self, title: &str, description: &str, below: &[String]) -> String {
        let mut y = BOTTOM + 64.0;
        for (sign, name) in std::mem::take(&mut self.signs) {
            self.mark([30.0, y - 5.0], sign);
            text(&mut self.out, [56.0, y], "start", LETTER, &name);
            y += LINE;
        }
        for line in below.iter().flat_map(|words| broken(words)) {
            text(&mut self.out, [14.0, y], "start", LETTER, &line);
            y += LINE;
        }
        framed(&self.out, y, title, description)
    }
}

/// A whole file of this width.
pub fn framed(inner: &str, height: f64, title: &str, description: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height:.0}\" width=\"{WIDTH}\" height=\"{height:.0}\" role=\"img\" font-family=\"sans-serif\">\n<title>{}</title>\n<desc>{}</desc>\n<rect width=\"{WIDTH}\" height=\"{height:.0}\" fill=\"white\"/>\n{inner}</svg>\n",
        escaped(title),
        escaped(description)
    )
}

/// A text in lines that fit the width, at 7.4 pixels a letter.
pub fn broken(words: &str) -> Vec<String> {
    let most = ((WIDTH - 28.0) / 7.4) as usize;
    textwrap::wrap(words, most)
        .into_iter()
        .map(|line| line.into_owned())
        .collect()
}

/// Round marks from 0 to the end, four to eight of them.
fn marks(end: f64) -> Vec<f64> {
    let rough = end / 5.0;
    let decade = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|times| times * decade)
        .find(|step| *step >= rough)
        .unwrap_or(rough);
    let count = (end / step + 1e-9).floor() as usize;
    (0..=count.min(12)).map(|mark| mark as f64 * step).collect()
}

/// A mark's figure.
fn short(value: f64) -> String {
    format!("{}", (value * 1000.0).round() / 1000.0)
}
