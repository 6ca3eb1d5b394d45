//! A restoration with its pages, served on a free port; and a wire to it that can be cut.

use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};
use std::sync::{Arc, Mutex, mpsc};
use std::time::{SystemTime, UNIX_EPOCH};

use benchwork::{Entering, Stamp, read_sheet_file, start_restoration};
use pages::{AnsweringHome, AtHome, Bench, Devices, Opening, OwnTables, Serving, serve};

use crate::driver::copy;

/// A restoration whose pages answer.
pub struct Served {
    folder: tempfile::TempDir,
    pub address: SocketAddr,
    home: Option<AnsweringHome>,
    bench: Arc<Bench>,
    /// Seconds by which the clock of these pages is ahead of this computer's.
    ahead: Arc<AtomicI64>,
}

/// The time of this computer.
pub fn now() -> Stamp {
    time_ahead(0)
}

/// The time of this computer, and so many seconds more.
fn time_ahead(ahead: i64) -> Stamp {
    let seconds = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .expect("a clock")
        .as_secs() as i64
        + ahead;
    let (days, rest) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    // Days to a date by eras of 400 years that begin in March.
    let shifted = days + 719_468;
    let (era, of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 {
        month_from_march + 3
    } else {
        month_from_march - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    let (hour, minute, second) = (rest / 3600, rest / 60 % 60, rest % 60);
    let text = format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}+00:00");
    Stamp::read(&text).expect("a time")
}

impl Served {
    /// The pages of a restoration of an example.
    pub fn of(sheet: &str) -> Served {
        Served::by(Some(sheet), false)
    }

    /// The same, and on the loopback as if that were a home network.
    pub fn with_home(sheet: &str) -> Served {
        Served::by(Some(sheet), true)
    }

    /// The pages of a file that is still to be begun.
    pub fn to_begin() -> Served {
        Served::by(None, false)
    }

    /// The same, and on the loopback as if that were a home network.
    pub fn to_begin_at_home() -> Served {
        Served::by(None, true)
    }

    fn by(sheet: Option<&str>, is_at_home: bool) -> Served {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("set.restoration");
        if let Some(sheet) = sheet {
            let sheet = Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("../../examples")
                .join(sheet);
            let sheet = read_sheet_file(&sheet).expect("a sheet");
            start_restoration(&Entering::new(&file, now()), &sheet, None).expect("a restoration");
        }
        let ahead = Arc::new(AtomicI64::new(0));
        let own = Arc::clone(&ahead);
        let bench = Bench::open(Opening {
            file,
            clock: Arc::new(move || Ok(time_ahead(own.load(Ordering::SeqCst)))),
            sound: Arc::new(|| {}),
            tables: OwnTables::default(),
        })
        .expect("a bench");
        let home = is_at_home.then(|| AtHome {
            port: 0,
            addresses: vec![[127, 0, 0, 1].into()],
            folder: folder.path().join("devices"),
            tell: Arc::new(|_| {}),
        });
        let serving = Serving { port: 0, home };
        let (ready, listens) = mpsc::channel();
        let own = Arc::clone(&bench);
        std::thread::spawn(move || {
            let done = serve(own, serving, |answering| {
                ready.send(answering).expect("the test waits")
            });
            done.expect("it serves until the tests end");
        });
        let answering = listens.recv().expect("it listens");
        Served {
            folder,
            address: answering.here,
            home: answering.home,
            bench,
            ahead,
        }
    }

    /// So many seconds pass by the clock of these pages.
    pub fn passes(&self, seconds: i64) {
        self.ahead.fetch_add(seconds, Ordering::SeqCst);
    }

    /// A file beside the restoration's.
    pub fn beside(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// How a device of the home network gets in.
    pub fn at_home(&self) -> &AnsweringHome {
        self.home.as_ref().expect("the home network was asked for")
    }

    /// The leave of a device is taken back, as by the command.
    pub fn take_back(&self, name: &str) {
        let devices = Devices::in_folder(&self.folder.path().join("devices")).expect("a list");
        devices.take_back(name).expect("it was let in");
    }

    /// The address of a new code.
    pub fn new_pairing_page(&self) -> String {
        self.bench
            .new_pairing_page()
            .expect("the home network was asked for")
    }

    /// The restoration's file.
    pub fn file(&self) -> PathBuf {
        self.folder.path().join("set.restoration")
    }

    /// The address of a page.
    pub fn page(&self, at: &str) -> String {
        format!("http://{}{at}", self.address)
    }

    /// The texts of the entries that stand.
    pub fn story(&self) -> Vec<String> {
        let story = benchwork::tell_story(&self.file(), false).expect("a story");
        story.entries.into_iter().map(|entry| entry.text).collect()
    }
}

/// A wire to the pages that can be cut and joined again.
pub struct Wire {
    pub address: SocketAddr,
    is_cut: Arc<AtomicBool>,
    is_still: Arc<AtomicBool>,
    through: Arc<Mutex<Vec<TcpStream>>>,
}

impl Wire {
    /// A wire to this address.
    pub fn to(pages: SocketAddr) -> Wire {
        let socket = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let address = socket.local_addr().expect("an address");
        let is_cut = Arc::new(AtomicBool::new(false));
        let is_still = Arc::new(AtomicBool::new(false));
        let through = Arc::new(Mutex::new(Vec::new()));
        let (cut, open) = (Arc::clone(&is_cut), Arc::clone(&through));
        let still = Arc::clone(&is_still);
        std::thread::spawn(move || {
            for from in socket.incoming().flatten() {
                if cut.load(Ordering::SeqCst) {
                    let _ = from.shutdown(Shutdown::Both);
                    continue;
                }
                let Ok(to) = TcpStream::connect(pages) else {
                    continue;
                };
                let mut open = open.lock().expect("the test goes on");
                for end in [&from, &to] {
                    open.push(end.try_clone().expect("a second handle"));
                }
                let (back, forth) = (
                    from.try_clone().expect("a handle"),
                    to.try_clone().expect("a handle"),
                );
                for (from, to) in [(from, to), (forth, back)] {
                    let still = Arc::clone(&still);
                    std::thread::spawn(move || copy(from, to, &still));
                }
            }
        });
        Wire {
            address,
            is_cut,
            is_still,
            through,
        }
    }

    /// Cuts it, with all that goes through it.
    pub fn cut(&self) {
        self.is_cut.store(true, Ordering::SeqCst);
        for end in self.through.lock().expect("the test goes on").drain(..) {
            let _ = end.shutdown(Shutdown::Both);
        }
    }

    /// Keeps what comes from either end, and closes nothing: a laptop that sleeps, a room without radio.
    pub fn hold(&self) {
        self.is_still.store(true, Ordering::SeqCst);
    }

    /// Gives what was held.
    pub fn let_go(&self) {
        self.is_still.store(false, Ordering::SeqCst);
    }

    /// Joins it again.
    pub fn join(&self) {
        self.is_cut.store(false, Ordering::SeqCst);
    }

    /// The address of a page through it.
    pub fn page(&self, at: &str) -> String {
        format!("http://{}{at}", self.address)
    }
}
