//! The person's own folder on this computer, for what belongs to no restoration.
//!
//! Where the system keeps data of programs: the XDG base directories, or their like on other systems. Fails where the
//! system names none and none was given.

use std::path::PathBuf;

use benchwork::Trouble;

use crate::cli_serve::DevicesFolder;

/// The folder of the devices and of the laptop's certificate.
pub fn devices_folder(kept: &DevicesFolder) -> Result<PathBuf, Trouble> {
    if let Some(folder) = &kept.devices_folder {
        return Ok(folder.clone());
    }
    let own = directories::ProjectDirs::from("", "", "firstraster");
    own.map(|own| own.data_local_dir().join("devices"))
        .ok_or_else(|| {
            Trouble::input(
                "this system names no folder for data of programs",
                "name one with --devices-folder",
            )
        })
}
