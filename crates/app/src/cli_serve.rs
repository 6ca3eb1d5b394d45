//! What is typed after `bench` and `devices`.
//!
//! A port and an address are checked as they are read (wrong usage, status 2).

use std::net::IpAddr;
use std::path::PathBuf;

use clap::{Args, Subcommand};

/// Arguments of `bench`.
#[derive(Debug, Args)]
pub struct ServeArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// The port on 127.0.0.1; 0 takes a free one
    #[arg(long, value_name = "NUMBER", default_value_t = 7020)]
    pub port: u16,

    /// Answer on the home network too, to devices that are let in by the words shown
    #[arg(long)]
    pub home: bool,

    /// An address of this computer to answer on, in place of all those in a home network; may be given again
    #[arg(long, value_name = "ADDRESS", requires = "home")]
    pub address: Vec<IpAddr>,

    /// The port on the home network; 0 takes a free one
    #[arg(long, value_name = "NUMBER", default_value_t = 7021, requires = "home")]
    pub home_port: u16,

    #[command(flatten)]
    pub kept: DevicesFolder,

    /// A table of your own prices (CSV: for,price,notes)
    #[arg(long, value_name = "FILE.csv")]
    pub prices: Option<PathBuf>,

    /// A table of your own figures for the worth (CSV, as data/worth_figures.csv)
    #[arg(long, value_name = "FILE.csv")]
    pub figures: Option<PathBuf>,

    /// A table of your own efforts (CSV, as data/efforts.csv)
    #[arg(long, value_name = "FILE.csv")]
    pub efforts: Option<PathBuf>,

    /// A table of your own types of tubes (CSV, with the catalogue's columns)
    #[arg(long, value_name = "FILE.csv")]
    pub own: Option<PathBuf>,
}

/// Where the devices and the laptop's certificate are kept.
#[derive(Debug, Args)]
pub struct DevicesFolder {
    /// The folder of the devices and of the laptop's certificate; one of your own if absent
    #[arg(long, value_name = "FOLDER", global = true)]
    pub devices_folder: Option<PathBuf>,
}

/// Arguments of `devices`.
#[derive(Debug, Args)]
pub struct DevicesArguments {
    #[command(subcommand)]
    pub asked: Option<DevicesAsked>,

    #[command(flatten)]
    pub kept: DevicesFolder,
}

/// What is asked of the devices; all are shown if nothing is.
#[derive(Debug, Subcommand)]
pub enum DevicesAsked {
    /// Take back the leave of a device: it no longer gets in
    TakeBack {
        /// Its name, as it is listed
        name: String,
    },
}
