//! The home network: who is let in from other devices, and how.
//!
//! Only by asking. A device gets in once by the words that the laptop shows ([`pairing`]) and bears a token from
//! then on, which the laptop can take back ([`devices`]). All of it goes through TLS with a certificate that this
//! laptop signs for itself ([`certificate`], [`wire`]). How much one device may ask in a while is bounded ([`rates`]).
//!
//! Keeps its files in a folder of the person's own, apart from every restoration: a file that is handed on lets
//! nobody in. Fails in words where the folder cannot be used or a file in it is not what it should be.

mod addresses;
mod certificate;
mod devices;
mod pairing;
mod qr;
mod rates;
mod wire;
mod words;

use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Instant;

use benchwork::{Stamp, Trouble};

use crate::bench::lock;

pub use addresses::{is_of_the_home, own_addresses};
pub use certificate::{Certificate, Vouched};
pub use devices::{Device, Devices};
pub use pairing::{Code, Pairing, Tried};
pub use qr::{as_svg, in_letters};
pub use rates::Rates;
pub use wire::{HomePeer, HomeWire};

/// What the home network is opened with.
#[derive(Clone)]
pub struct AtHome {
    /// The port; 0 takes a free one.
    pub port: u16,
    /// The addresses of this computer to listen on; those of the home network if empty.
    pub addresses: Vec<IpAddr>,
    /// The folder for the devices and the certificate.
    pub folder: PathBuf,
    /// Is told who was let in, and when a code is used up.
    pub tell: Arc<dyn Fn(&str) + Send + Sync>,
}

/// The home network, open.
pub struct Home {
    /// The addresses with their ports, as a browser names them.
    names: Vec<SocketAddr>,
    devices: Devices,
    pairing: Mutex<Pairing>,
    /// How much each device may ask.
    pub rates: Rates,
    vouched: Vouched,
    tell: Arc<dyn Fn(&str) + Send + Sync>,
}

impl Home {
    /// The home network at these addresses, with its first code.
    pub fn open(
        at: &AtHome,
        names: Vec<SocketAddr>,
        vouched: Vouched,
        now: Instant,
    ) -> Result<Home, Trouble> {
        Ok(Home {
            names,
            devices: Devices::in_folder(&at.folder)?,
            pairing: Mutex::new(Pairing::begun(now)),
            rates: Rates::default(),
            vouched,
            tell: Arc::clone(&at.tell),
        })
    }

    /// Whether a browser may name this laptop so.
    pub fn is_named(&self, host: &str) -> bool {
        self.names
            .iter()
            .any(|name| name.to_string().eq_ignore_ascii_case(host))
    }

    /// The address that is shown first, as a page.
    pub fn page(&self, at: &str) -> String {
        let name = self.names.first();
        name.map_or_else(String::new, |name| format!("https://{name}{at}"))
    }

    /// The page that lets a device in by this code.
    pub fn pairing_page(&self, code: &Code) -> String {
        self.page(&format!("/pair?words={}", code.words.replace(' ', "-")))
    }

    /// Every address, as a page.
    pub fn pages(&self) -> Vec<String> {
        let named = self.names.iter().map(|name| format!("https://{name}/"));
        named.collect()
    }

    /// What vouches for the certificate, for a phone that takes it in.
    pub fn vouched(&self) -> &Vouched {
        &self.vouched
    }

    /// The devices that are let in.
    pub fn devices(&self) -> &Devices {
        &self.devices
    }

    /// The code that holds now.
    pub fn code(&self, now: Instant) -> Option<Code> {
        lock(&self.pairing).code(now)
    }

    /// A new code; the one before no longer holds.
    pub fn new_code(&self, now: Instant) -> Code {
        let mut pairing = lock(&self.pairing);
        *pairing = Pairing::begun(now);
        pairing.code(now).unwrap_or_default()
    }

    /// Lets a device in that has the words: its token.
    pub fn let_in(
        &self,
        words: &str,
        name: &str,
        now: Instant,
        at: &Stamp,
    ) -> Result<Result<String, Tried>, Trouble> {
        // The words are used up before the device is written down: two that come at once do not both get in.
        let tried = lock(&self.pairing).tried(words, now);
        if tried != Tried::Right {
            if tried == Tried::UsedUp {
                (self.tell)("Wrong words came five times: the code no longer holds.");
            }
            return Ok(Err(tried));
        }
        let (device, token) = match self.devices.let_in(name, at) {
            Ok(done) => done,
            Err(trouble) => {
                // Nobody was let in: the same words still hold.
                lock(&self.pairing).holds_still();
                return Err(trouble);
            }
        };
        (self.tell)(&format!("\"{}\" was let in.", device.name));
        Ok(Ok(token))
    }
}

/// The folder, made where it lacks, for its owner alone.
fn own_folder(folder: &Path) -> Result<(), Trouble> {
    std::fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let own = std::fs::Permissions::from_mode(0o700);
        std::fs::set_permissions(folder, own).map_err(|error| cannot(folder, &error))?;
    }
    Ok(())
}

/// Writes a file whole or not at all, for its owner alone.
fn write_own(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    use std::io::Write;
    let folder = path.parent().unwrap_or(Path::new("."));
    // A new file of this library is for its owner alone.
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(|error| cannot(path, &error))?;
    file.write_all(bytes)
        .and_then(|()| file.as_file().sync_all())
        .map_err(|error| cannot(path, &error))?;
    file.persist(path)
        .map_err(|error| cannot(path, &error.error))?;
    Ok(())
}

fn cannot(path: &Path, error: &std::io::Error) -> Trouble {
    Trouble::File {
        name: path.display().to_string(),
        text: error.to_string(),
        hint: "give another folder with --devices-folder, or make room".to_owned(),
    }
}
