//! The first power-up as a conversation: one question at a time, the clock running beside it.
//!
//! A line is a word (`begin`, `done`, `skip why`, `stop what`, `leave`), an answer to the question
//! that stands, or a place with a value. What is refused brings its message and the same question
//! again. When the time of a step is up it is told, whatever is being typed. Nothing is lost when
//! the input ends: every entry is on the disk, and a step with power is told to be ended.

use std::io::{self, BufRead};
use std::path::Path;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use benchwork::view::{AskedView, PowerUpView};
use benchwork::{Changed, Entering, Fitted, PowerReading, PowerSession, Trouble};
use benchwork::{note_changed, record_fitted};

use crate::clock;
use crate::commands::DONE;
use crate::output::{Screen, Stop, power_page, trouble_words};

const HELP: &str = "\
  begin          the step begins; in a step with power the plug goes in now
  318            answers the question that stands
  B+ main 318    a reading at another place of the step
  done [why]     the step is done; a reason where something stays unknown
  skip why       the step is passed over
  stop what      the plug is out because of what was noticed
  leave [why]    the bench is left, the plug out
  fit C12 0.047 mfd 630 V    a part was replaced
  cut C12 C13    parts were cut loose at one end
  show           the whole step again
  quit           ends the conversation; nothing is lost
";

/// Goes through the power-up until the input ends or `quit`.
pub fn talk(session: &mut PowerSession, file: &Path, screen: &mut Screen) -> Result<u8, Stop> {
    let lines = lines_of_input();
    let mut view = session.tell(&clock::time(None)?)?;
    screen.say(&power_page::whole(&view))?;
    screen.remark("  (? for the words)\n")?;
    loop {
        let asked = ask(&view, screen)?;
        let Some(line) = next_line(&lines, &view, screen)? else {
            break;
        };
        let typed = line.trim();
        if typed == "quit" {
            break;
        }
        if typed == "?" {
            screen.remark(HELP)?;
            continue;
        }
        let told = match take(session, file, typed, asked.as_ref()) {
            Ok(told) => told,
            Err(trouble) => {
                screen.remark(&trouble_words(&trouble))?;
                view = session.tell(&clock::time(None)?)?;
                continue;
            }
        };
        view = told;
        let whole = typed == "show" || (view.state == "to_begin" && !typed.is_empty());
        let page = if whole {
            power_page::whole(&view)
        } else {
            power_page::changed(&view)
        };
        screen.say(&page)?;
        screen.show_now()?;
    }
    if view.state == "under_way" && view.step.as_ref().is_some_and(|step| step.energised) {
        screen.remark("This step has power and was not ended: SEE THAT THE PLUG IS OUT.\n")?;
    }
    Ok(DONE)
}

fn lines_of_input() -> Receiver<String> {
    let (hand_on, arrived) = mpsc::channel();
    // It ends with the program: nothing waits for a line that never comes.
    thread::spawn(move || {
        for line in io::stdin().lock().lines() {
            let Ok(line) = line else { break };
            if hand_on.send(line).is_err() {
                break;
            }
        }
    });
    arrived
}

fn ask(view: &PowerUpView, screen: &mut Screen) -> Result<Option<AskedView>, Stop> {
    if view.state != "under_way" {
        screen.remark("> ")?;
        return Ok(None);
    }
    let question = power_page::question(view);
    match &question {
        Some((_, text)) => screen.remark(&format!("{text} > "))?,
        None => screen.remark("done? > ")?,
    }
    Ok(question.map(|(asked, _)| asked))
}

/// The next line; the step's time is told when it is up.
fn next_line(
    lines: &Receiver<String>,
    view: &PowerUpView,
    screen: &mut Screen,
) -> Result<Option<String>, Stop> {
    let remaining = view.timer.map_or(0.0, |timer| timer.remaining_seconds);
    if remaining > 0.0 {
        match lines.recv_timeout(Duration::from_secs_f64(remaining)) {
            Ok(line) => return Ok(Some(line)),
            Err(RecvTimeoutError::Disconnected) => return Ok(None),
            Err(RecvTimeoutError::Timeout) => {
                screen.remark("\n  IT IS TIME: take the readings now.\n> ")?;
            }
        }
    }
    Ok(lines.recv().ok())
}

/// Does what a line says.
fn take(
    session: &mut PowerSession,
    file: &Path,
    typed: &str,
    asked: Option<&AskedView>,
) -> Result<PowerUpView, Trouble> {
    let at = clock::time(None)?;
    let (word, rest) = typed.split_once(char::is_whitespace).unwrap_or((typed, ""));
    let rest = rest.trim();
    let entering = Entering::new(file, at.clone());
    match word {
        "" | "show" => session.tell(&at),
        "begin" => session.begin(&at),
        "done" => session.done(&at, rest),
        "skip" => session.skip(&at, rest),
        "stop" => session.stop(&at, rest),
        "leave" => session.leave(&at, rest),
        "fit" => {
            let (part, new) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
            record_fitted(
                &entering,
                Fitted {
                    part: part.to_owned(),
                    new: new.trim().to_owned(),
                    ..Fitted::default()
                },
            )?;
            session.tell(&at)
        }
        "cut" => {
            let parts: Vec<&str> = rest
                .split([' ', ','])
                .filter(|part| !part.is_empty())
                .collect();
            if parts.is_empty() {
                return Err(Trouble::input(
                    "which parts were cut loose is not told",
                    "such as: cut C12 C13",
                ));
            }
            for part in parts {
                note_changed(
                    &entering,
                    Changed {
                        what: part.to_owned(),
                        is: "cut loose".to_owned(),
                        ..Changed::default()
                    },
                )?;
            }
            session.tell(&at)
        }
        _ => {
            let reading = reading(typed, asked);
            if reading.value.is_empty() {
                return Err(Trouble::input(
                    format!("`{typed}` is neither a word nor a place with its value"),
                    "? shows the words; a reading is a place and a value, such as: B+ main 318",
                ));
            }
            session.read(&at, reading)
        }
    }
}

/// An answer to the question that stands, or a place with a value.
fn reading(typed: &str, asked: Option<&AskedView>) -> PowerReading {
    let begins_as_value = |text: &str| {
        text.starts_with(|letter: char| letter.is_ascii_digit() || ".+-−".contains(letter))
            || ["open", "ol", "infinite"].contains(&text.to_lowercase().as_str())
    };
    if let Some(asked) = asked.filter(|_| begins_as_value(typed)) {
        return PowerReading {
            place: asked.at.clone(),
            value: typed.to_owned(),
            to: asked.to.clone().unwrap_or_default(),
            what: Some(asked.what.to_owned()),
            ..PowerReading::default()
        };
    }
    // The value begins with the last blank behind which all looks like one.
    let split = typed
        .match_indices(' ')
        .map(|(at, _)| at)
        .find(|at| begins_as_value(typed[*at..].trim_start()));
    let (place, value) = split.map_or((typed, ""), |at| typed.split_at(at));
    let (place, to) = place.split_once(" to ").unwrap_or((place, ""));
    PowerReading {
        place: place.trim().to_owned(),
        value: value.trim().to_owned(),
        to: to.trim().to_owned(),
        ..PowerReading::default()
    }
}
