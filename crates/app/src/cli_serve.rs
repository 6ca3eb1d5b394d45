//! What is typed after `bench`.
//!
//! A port is checked as it is read (wrong usage, status 2).

use std::path::PathBuf;

use clap::Args;

/// Arguments of `bench`.
#[derive(Debug, Args)]
pub struct ServeArguments {
    /// The restoration's file
    pub file: PathBuf,

    /// The port on 127.0.0.1; 0 takes a free one
    #[arg(long, value_name = "NUMBER", default_value_t = 7020)]
    pub port: u16,
}
