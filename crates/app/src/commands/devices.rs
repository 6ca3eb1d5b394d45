//! `firstraster devices`: the phones that are let in to the bench pages, and their leave taken back.
//!
//! A program that serves the pages takes note with the next request. Status 1 for a name that is none and for a
//! folder that cannot be used.

use pages::{Device, Devices};
use serde::Serialize;

use crate::cli_serve::{DevicesArguments, DevicesAsked};
use crate::commands::DONE;
use crate::output::{Screen, Stop, bench_page};
use crate::own_folder::devices_folder;

/// A device as it is answered: what it is known by is of no use to anybody.
#[derive(Serialize)]
struct DeviceView {
    name: String,
    since: String,
}

/// Runs the command.
pub fn run(arguments: &DevicesArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let devices = Devices::in_folder(&devices_folder(&arguments.kept)?)?;
    if let Some(DevicesAsked::TakeBack { name }) = &arguments.asked {
        let gone = devices.take_back(name)?;
        screen.remark(&format!("\"{}\" no longer gets in.\n", gone.name))?;
    }
    let all = devices.all()?;
    match screen.json {
        true => {
            let view = |device: Device| DeviceView {
                name: device.name,
                since: device.since,
            };
            let views: Vec<DeviceView> = all.into_iter().map(view).collect();
            screen.answer(&views)?;
        }
        false => screen.say(&bench_page::devices(&all))?,
    }
    Ok(DONE)
}
