//! Where the bench pages answer, and how a phone gets in, as a terminal shows it.
//!
//! The code for the camera is black on white where the terminal has colour; the words beside it do without. Nothing
//! here fails.

use anstyle::{AnsiColor, Style};
use pages::{Answering, AnsweringHome, Device, in_letters};

const CODE: Style = AnsiColor::Black
    .on_default()
    .bg_color(Some(anstyle::Color::Ansi(AnsiColor::BrightWhite)));

/// The page.
pub fn page(answering: &Answering) -> String {
    let mut out = format!("The bench pages are at http://{}/\n", answering.here);
    if answering.begins {
        out.push_str("There is no such file yet: the pages begin the restoration.\n");
    }
    if let Some(home) = &answering.home {
        out.push_str(&at_home(home));
    }
    out.push_str("Ctrl-C ends them; every entry is on the disk.\n");
    out
}

fn at_home(home: &AnsweringHome) -> String {
    let mut out = String::from("On the home network: ");
    out.push_str(&home.pages.join(" and "));
    out.push_str("\n\nLet a phone in: point its camera at this,\n\n");
    for line in in_letters(&home.pairing_page).unwrap_or_default() {
        out.push_str(&format!("  {CODE}{line}{CODE:#}\n"));
    }
    let pairs: Vec<&str> = home.print.split(':').collect();
    let (first, second) = pairs.split_at(pairs.len() / 2);
    out.push_str(&format!(
        "\nor open the address and type the words:  {}\n\
         They hold {} minutes, for one phone. The page \"Devices\" on this computer\n\
         shows new ones, and takes back the leave of a phone.\n\n\
         The phone's browser warns the first time: nobody but this computer vouches\n\
         for its pages. Whoever wants no warning takes the certificate in on the phone;\n\
         it must show this print (SHA-256):\n  {}\n  {}\n\n",
        home.words,
        home.minutes,
        first.join(" "),
        second.join(" ")
    ));
    out
}

/// The devices that are let in.
pub fn devices(devices: &[Device]) -> String {
    if devices.is_empty() {
        return "No device is let in.\n".to_owned();
    }
    let mut out = String::from("Let in:\n");
    for device in devices {
        let day = device.since.get(..10).unwrap_or(&device.since);
        out.push_str(&format!("  {}, since {day}\n", device.name));
    }
    out
}
