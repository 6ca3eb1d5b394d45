//! A program that writes facts and photographs is killed at random moments: nothing that it
//! acknowledged is lost, and every file opens.
//!
//! 20 kills, 500 with FULL_KILLS=1. The moments follow from a seed. The killed program is this
//! one, started again with a file to write into; it says the number and the hash of each
//! fact once the file has taken it. A kill ends a program, it does not cut the power: what
//! the disk itself loses is not tried here.

#[allow(dead_code)] // this program needs few of them
#[path = "logbook/tried.rs"]
mod tried;

use std::env;
use std::error::Error;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

use image::codecs::jpeg::JpegEncoder;
use image::{Rgb, RgbImage};
use logbook::{Fact, Logbook, LogbookError, Photograph, hash_of};

/// Names the file for the program that is to be killed.
const VICTIM: &str = "LOGBOOK_VICTIM";

/// Names the seed of what it writes.
const SEED: &str = "LOGBOOK_SEED";

/// After so many kills a new file is begun, so that the beginning is hit too.
const KILLS_OF_A_FILE: u64 = 5;

/// Numbers that follow from a seed (the mixing step of Steele, Lea and Flood, 2014, from memory).
struct Draw(u64);

impl Draw {
    fn next(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % below
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    if let Some(file) = env::var_os(VICTIM) {
        let seed = env::var(SEED)?.parse()?;
        return write_until_killed(&PathBuf::from(file), seed);
    }
    if env::args().any(|argument| argument == "--list") {
        println!("nothing_acknowledged_is_lost: test");
        return Ok(());
    }
    let kills = if env::var("FULL_KILLS").is_ok_and(|full| full == "1") {
        500
    } else {
        20
    };
    let tally = kill_again_and_again(kills)?;
    println!("{kills} kills: {tally:?}");
    assert!(
        tally.acknowledged > kills,
        "hardly anything was written: {tally:?}"
    );
    assert!(
        tally.photographs > 0,
        "no photograph was written: {tally:?}"
    );
    Ok(())
}

/// What was seen in all.
#[derive(Debug, Default)]
struct Tally {
    acknowledged: u64,
    photographs: u64,
    not_acknowledged: u64,
    not_begun: u64,
}

fn kill_again_and_again(kills: u64) -> Result<Tally, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let mut draw = Draw(1955);
    let mut tally = Tally::default();
    let mut told: Vec<String> = Vec::new();
    for kill in 0..kills {
        if kill % KILLS_OF_A_FILE == 0 {
            told.clear();
        }
        let file = folder
            .path()
            .join(format!("{}.restoration", kill / KILLS_OF_A_FILE));
        let pause = Duration::from_micros(draw.next(120_000));
        told.extend(run_and_kill(&file, draw.next(u64::MAX), pause)?);
        look_at(&file, &mut told, &mut tally)
            .map_err(|error| format!("kill {kill} after {pause:?}: {error}"))?;
    }
    Ok(tally)
}

/// Starts the writer, kills it after the pause; what it acknowledged, a line each.
fn run_and_kill(file: &Path, seed: u64, pause: Duration) -> Result<Vec<String>, Box<dyn Error>> {
    let mut writer = Command::new(env::current_exe()?)
        .env(VICTIM, file)
        .env(SEED, seed.to_string())
        .stdout(Stdio::piped())
        .spawn()?;
    sleep(pause);
    writer.kill()?;
    let mut said = String::new();
    if let Some(mut output) = writer.stdout.take() {
        output.read_to_string(&mut said)?;
    }
    // It writes for ever: if it ended by itself, it failed.
    if writer.wait()?.code().is_some_and(|code| code != 0) {
        return Err("the writer failed by itself".into());
    }
    // A line that was cut by the kill acknowledges nothing.
    let whole = said.rsplit_once('\n').map_or("", |(whole, _)| whole);
    Ok(whole.lines().map(str::to_owned).collect())
}

/// Holds that the file opens and has all that was acknowledged, and nothing half.
fn look_at(file: &Path, told: &mut Vec<String>, tally: &mut Tally) -> Result<(), Box<dyn Error>> {
    let book = match Logbook::open(file) {
        Err(LogbookError::NotThere) if told.is_empty() => {
            tally.not_begun += 1;
            return Ok(());
        }
        other => other?,
    };
    let entries = book.entries()?;
    let kept: Vec<String> = entries
        .iter()
        .map(|entry| line(entry.number, &entry.fact))
        .collect();
    if !kept.starts_with(told) {
        return Err(format!("acknowledged {} facts, kept {}", told.len(), kept.len()).into());
    }
    // At most the one fact that was written when the kill came, not yet told.
    let more = kept.len() - told.len();
    if more > 1 {
        return Err(format!("{more} facts that were never told").into());
    }
    // Each fact was sent under an id of its own, which stands with the fact or not at all.
    for number in 1..=entries.len() as u64 + 1 {
        let is_there = number <= entries.len() as u64;
        if book.sent(&sending_id(number))? != is_there.then_some((number, number)) {
            return Err(format!("entry {number} and its id were parted").into());
        }
    }
    let mut photographs = 0;
    for entry in &entries {
        if let Some(hash) = entry.fact.photograph() {
            book.photograph(hash)?;
            photographs += 1;
        }
    }
    book.back_up(&file.with_extension("copy"))?;
    std::fs::remove_file(file.with_extension("copy"))?;
    tally.acknowledged += told.len() as u64;
    tally.photographs += photographs;
    tally.not_acknowledged += more as u64;
    *told = kept;
    Ok(())
}

fn line(number: u64, fact: &Fact) -> String {
    format!(
        "{number} {}",
        hash_of(fact.to_fields().to_plain().as_bytes())
    )
}

/// The id under which the fact of this number is sent.
fn sending_id(number: u64) -> String {
    format!("sending-{number:08}")
}

/// The program that is killed.
fn write_until_killed(file: &Path, seed: u64) -> Result<(), Box<dyn Error>> {
    let mut draw = Draw(seed);
    let at = tried::stamp();
    let mut book = match Logbook::start(file, "Larkfield 12T") {
        Err(LogbookError::AlreadyThere) => Logbook::open(file)?,
        other => other?,
    };
    let facts = tried::plain_facts();
    let mut out = std::io::stdout().lock();
    let written = book.last_entry()?.map_or(0, |last| last.number);
    for next in written + 1.. {
        book.once(&sending_id(next))?;
        let (number, fact) = if draw.next(4) == 0 {
            let photograph = Photograph::read(noise(&mut draw)?)?;
            let number = book.add_photograph(&at, &photograph, tried::photographed("a.jpg"))?;
            let fact = Fact::Photographed(logbook::Photographed {
                photograph: hash_of(&photograph.original),
                ..tried::photographed("a.jpg")
            });
            (number, fact)
        } else {
            let mut fact = facts[draw.next(facts.len() as u64) as usize].clone();
            if let Fact::Measured(one) = &mut fact
                && one.value.is_finite()
            {
                one.value = draw.next(400_000) as f64 / 1000.0;
            }
            (book.append(&at, &fact)?, fact)
        };
        writeln!(out, "{}", line(number, &fact))?;
        out.flush()?;
    }
    Ok(())
}

/// A photograph of nothing, of many bytes.
fn noise(draw: &mut Draw) -> Result<Vec<u8>, Box<dyn Error>> {
    let (width, height) = (32 + draw.next(200) as u32, 32 + draw.next(200) as u32);
    let picture = RgbImage::from_fn(width, height, |_, _| {
        let bits = draw.next(1 << 24);
        Rgb([bits as u8, (bits >> 8) as u8, (bits >> 16) as u8])
    });
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 95).encode_image(&picture)?;
    Ok(bytes)
}
