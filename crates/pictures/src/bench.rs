//! The wires of the bench method, from the type's own base to supply, meters, resistor and source.
//!
//! Pixels; the base is seen from below as in the other pictures. Wires that meet have a dot, those
//! that only cross have none and the lower one is broken. Fails for a type whose pins are not
//! recorded, or whose base has no known places for them.

use benchwork::view::{BaseView, PictureView};
use quantity::{Unit, bench};

use super::narrow_plot::{LETTER, WIDTH, broken, framed};
use super::svg_text::text;

const MIDDLE: f64 = WIDTH / 2.0;
const BASE_Y: f64 = 160.0;
const RING: f64 = 74.0;
const PIN: f64 = 12.0;
/// Where the wires of heater, heater, cathode, first and second grid run to the middle.
const ROWS: [f64; 5] = [310.0, 376.0, 436.0, 480.0, 604.0];
const BOX: (f64, f64) = (150.0, 290.0);

/// One wire from a pin to its row.
struct Lead {
    contact: String,
    word: &'static str,
    row: f64,
    x: f64,
    y: f64,
    is_left: bool,
}

/// The picture.
pub fn svg(view: &PictureView) -> Result<String, String> {
    let method = &view.bench;
    if let Some(unknown) = &method.unknown {
        return Err(unknown.clone());
    }
    let base = view
        .base
        .as_ref()
        .ok_or_else(|| format!("the base of {} is not known", view.type_name))?;
    let leads = leads(base)?;
    let mut out = String::new();
    let title = format!("{}: emission without a tester", view.type_name);
    text(&mut out, [MIDDLE, 26.0], "middle", 17.0, &title);
    let under = format!("{}, seen from below", base.name);
    text(&mut out, [MIDDLE, 46.0], "middle", LETTER, &under);
    ring(&mut out, base, &leads);
    let mut wires = String::new();
    let sides = channels(&leads);
    for (lead, channel) in leads.iter().zip(&sides) {
        wire(&mut wires, lead, *channel, end_of(lead));
    }
    out.push_str(&wires);
    pins(&mut out, base, &leads);
    for (lead, channel) in leads.iter().zip(&sides) {
        let (anchor, x) = if lead.is_left {
            ("start", channel + 5.0)
        } else {
            ("end", channel - 5.0)
        };
        text(&mut out, [x, lead.y - 3.0], anchor, LETTER, lead.word);
    }
    supply(&mut out, view.heater.rated_volts);
    source(&mut out, view, &leads);
    let mut y = ROWS[4] + 66.0;
    for line in below(view) {
        for line in broken(&line) {
            text(&mut out, [14.0, y], "start", LETTER, &line);
            y += 21.0;
        }
    }
    Ok(framed(&out, y, &title, &in_words(view)))
}

fn leads(base: &BaseView) -> Result<Vec<Lead>, String> {
    let missing =
        || "the pins of this type are not recorded: read them from its data sheet".to_owned();
    let heaters: Vec<&str> = base
        .contacts
        .iter()
        .filter(|own| own.degrees.is_some() && own.elements.iter().any(|el| el == "heater"))
        .map(|own| own.contact.as_str())
        .collect();
    let [one, other] = heaters.as_slice() else {
        return Err(missing());
    };
    let of = |element: &str| {
        let own = base
            .contacts
            .iter()
            .find(|own| own.degrees.is_some() && own.elements.iter().any(|el| el == element));
        own.map(|own| own.contact.as_str()).ok_or_else(missing)
    };
    let wanted = [
        (*one, "heater"),
        (*other, "heater"),
        (of("cathode")?, "cathode"),
        (of("grid1")?, "grid"),
        (of("grid2")?, "second grid"),
    ];
    wanted
        .into_iter()
        .zip(ROWS)
        .map(|((contact, word), row)| {
            let own = base.contacts.iter().find(|own| own.contact == contact);
            let degrees = own.and_then(|own| own.degrees).ok_or_else(missing)?;
            let [x, y] = at(degrees, RING);
            Ok(Lead {
                contact: contact.to_owned(),
                word,
                row,
                x,
                y,
                is_left: x < MIDDLE,
            })
        })
        .collect()
}

/// A place on the base, clockwise from the mark at the bottom.
fn at(degrees: f64, radius: f64) -> [f64; 2] {
    let angle = degrees.to_radians();
    [MIDDLE - radius * angle.sin(), BASE_Y + radius * angle.cos()]
}

/// Where each wire runs down beside the base: of one side the highest pin farthest out.
fn channels(leads: &[Lead]) -> Vec<f64> {
    leads
        .iter()
        .map(|lead| {
            let lower = leads
                .iter()
                .filter(|own| own.is_left == lead.is_left && own.y > lead.y)
                .count() as f64;
            let out = 74.0 - 15.0 * lower;
            if lead.is_left { out } else { WIDTH - out }
        })
        .collect()
}

/// Where a wire ends in the middle.
fn end_of(lead: &Lead) -> f64 {
    let is_heater = lead.word == "heater";
    match (is_heater, lead.word, lead.is_left) {
        (true, _, true) => BOX.0,
        (true, _, false) => BOX.1,
        _ => MIDDLE,
    }
}

/// A wire with a white edge, so that one that crosses below it is seen to be broken.
fn wire(out: &mut String, lead: &Lead, channel: f64, end: f64) {
    let path = format!(
        "M{:.1} {:.1}H{channel:.1}V{:.1}H{end:.1}",
        lead.x, lead.y, lead.row
    );
    stroke(out, &path, "white", 7.0);
    stroke(out, &path, "black", 2.0);
}

fn stroke(out: &mut String, path: &str, ink: &str, width: f64) {
    out.push_str(&format!(
        "<path d=\"{path}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"{width}\"/>\n"
    ));
}

fn ring(out: &mut String, base: &BaseView, leads: &[Lead]) {
    circle(out, [MIDDLE, BASE_Y], RING, 1.5, "white");
    if base.mark == "key" {
        circle(out, [MIDDLE, BASE_Y], 18.0, 1.5, "white");
        out.push_str(&format!(
            "<rect x=\"{}\" y=\"{}\" width=\"10\" height=\"9\"/>\n",
            MIDDLE - 5.0,
            BASE_Y + 16.0
        ));
        text(out, [MIDDLE, BASE_Y + 42.0], "middle", LETTER, "key");
    }
    // Pins that carry nothing of use here lie under the wires.
    for contact in &base.contacts {
        if let Some(degrees) = contact.degrees
            && leads.iter().all(|lead| lead.contact != contact.contact)
        {
            circle(out, at(degrees, RING), PIN - 3.0, 1.0, "white");
            let [x, y] = at(degrees, RING - 24.0);
            text(out, [x, y + 4.0], "middle", LETTER, &contact.contact);
        }
    }
}

fn pins(out: &mut String, base: &BaseView, leads: &[Lead]) {
    for contact in &base.contacts {
        if let Some(degrees) = contact.degrees
            && leads.iter().any(|lead| lead.contact == contact.contact)
        {
            let [x, y] = at(degrees, RING);
            circle(out, [x, y], PIN, 2.5, "white");
            text(out, [x, y + 5.0], "middle", LETTER, &contact.contact);
        }
    }
}

fn circle(out: &mut String, [x, y]: [f64; 2], radius: f64, width: f64, fill: &str) {
    out.push_str(&format!(
        "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{radius}\" fill=\"{fill}\" stroke=\"black\" stroke-width=\"{width}\"/>\n"
    ));
}

/// The heater supply with its voltmeter across.
fn supply(out: &mut String, rated: Option<f64>) {
    let (left, right) = BOX;
    let (top, bottom) = (ROWS[0] - 14.0, ROWS[1] + 14.0);
    frame(out, [left, top, right, bottom]);
    let middle = (ROWS[0] + ROWS[1]) / 2.0;
    let volts = rated.map_or("rated volts".to_owned(), |volts| bench(volts, Unit::Volts));
    text(out, [left + 8.0, middle - 6.0], "start", LETTER, "heater");
    text(out, [left + 8.0, middle + 11.0], "start", LETTER, "supply");
    text(out, [left + 8.0, middle + 28.0], "start", LETTER, &volts);
    let x = right - 28.0;
    stroke(out, &format!("M{x} {top}V{bottom}"), "black", 2.0);
    circle(out, [x, middle], 15.0, 2.0, "white");
    text(out, [x, middle + 5.0], "middle", LETTER, "V");
}

fn frame(out: &mut String, [left, top, right, bottom]: [f64; 4]) {
    out.push_str(&format!(
        "<rect x=\"{left}\" y=\"{top}\" width=\"{}\" height=\"{}\" fill=\"white\" stroke=\"black\" stroke-width=\"2\"/>\n",
        right - left,
        bottom - top
    ));
}

/// Grid and cathode joined to minus; plus through resistor and meter to the second grid.
fn source(out: &mut String, view: &PictureView, leads: &[Lead]) {
    let (top, bottom) = (ROWS[3] + 22.0, ROWS[3] + 76.0);
    stroke(out, &format!("M{MIDDLE} {}V{top}", ROWS[2]), "black", 2.0);
    for row in [ROWS[2], ROWS[3]] {
        circle(out, [MIDDLE, row], 4.0, 1.0, "black");
    }
    frame(out, [BOX.0, top, BOX.1, bottom]);
    text(out, [MIDDLE + 10.0, top - 5.0], "start", LETTER, "minus");
    text(out, [MIDDLE, top + 23.0], "middle", LETTER, "d.c. source");
    let volts = bench(view.bench.source_volts, Unit::Volts);
    text(out, [MIDDLE, top + 42.0], "middle", LETTER, &volts);
    stroke(
        out,
        &format!("M{MIDDLE} {bottom}V{}", ROWS[4]),
        "black",
        2.0,
    );
    let is_left = leads.last().is_some_and(|lead| lead.is_left);
    let toward = if is_left { -1.0 } else { 1.0 };
    let plus = if is_left {
        (MIDDLE + 10.0, "start")
    } else {
        (MIDDLE - 10.0, "end")
    };
    text(out, [plus.0, bottom + 18.0], plus.1, LETTER, "plus");
    let resistor = MIDDLE + toward * 46.0;
    frame(
        out,
        [
            resistor - 26.0,
            ROWS[4] - 9.0,
            resistor + 26.0,
            ROWS[4] + 9.0,
        ],
    );
    let ohms = view
        .bench
        .resistor_ohms
        .map_or(String::new(), |ohms| bench(ohms, Unit::Ohms));
    text(out, [resistor, ROWS[4] + 27.0], "middle", LETTER, &ohms);
    let meter = MIDDLE + toward * 104.0;
    circle(out, [meter, ROWS[4]], 17.0, 2.0, "white");
    text(out, [meter, ROWS[4] + 5.0], "middle", LETTER, "mA");
}

fn below(view: &PictureView) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(most) = view.bench.most_microamperes {
        lines.push(format!(
            "No more than {:.2} mA can flow, whatever happens.",
            most / 1000.0
        ));
    }
    match &view.bench.expected_microamperes {
        Some(band) => lines.push(format!(
            "A sound tube shows {:.0} to {:.0} uA.",
            band.low, band.high
        )),
        None => {
            lines.push("What the type should show is not known: judge change alone.".to_owned())
        }
    }
    lines.push(
        "Plug out, socket off, anode contact discharged several times. Goggles and gloves: the tube is bare."
            .to_owned(),
    );
    lines
}

fn in_words(view: &PictureView) -> String {
    let wires: Vec<String> = view
        .bench
        .wires
        .iter()
        .map(|wire| match wire.through.as_str() {
            "" => format!("{} to {}", wire.from, wire.to),
            through => format!("{} to {} through {through}", wire.from, wire.to),
        })
        .collect();
    format!("{}. {}", wires.join("; "), below(view).join(" "))
}
