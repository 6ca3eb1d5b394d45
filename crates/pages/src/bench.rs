//! One restoration at the bench, as the pages share it.
//!
//! Holds the file's name, the clock that was handed in, the power-up with its plan, the number of the last
//! entry, and what was worked out. Facts are never held here longer than until the next entry. Where there is no file
//! yet, the restoration is still to be begun, on the pages. Fails as the asked `benchwork` function does.

use std::borrow::Cow;
use std::collections::VecDeque;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError, RwLock};

use std::time::Instant;

use benchwork::view::{EntryView, PowerUpView, RecordedView, StoryView};
use benchwork::{Entering, PowerSession, Stamp, Trouble, tell_story, tell_story_and_first};

use sha2::{Digest, Sha256};

use crate::home_network::Home;
use crate::later::Later;
use crate::live::Live;
use crate::made_report::LastReport;
use crate::own_tables::OwnTables;
use crate::pages::Stand;
use crate::step_at_hand::StepAtHand;

/// How many entries are kept with what was said of them; the oldest go first.
const MADE: usize = 64;

/// The time of now, as the program hands it in.
pub type Clock = Arc<dyn Fn() -> Result<Stamp, Trouble> + Send + Sync>;

/// What a bench is opened with.
#[derive(Clone)]
pub struct Opening {
    /// The restoration's file.
    pub file: PathBuf,
    /// The clock.
    pub clock: Clock,
    /// Sounds at the laptop when the time of a step is up or a stop stands.
    pub sound: Arc<dyn Fn() + Send + Sync>,
    /// Tables of one's own.
    pub tables: OwnTables,
}

/// What a restoration is known by.
struct Begun {
    name: String,
    book: String,
}

/// One restoration, open for the pages.
pub struct Bench {
    file: PathBuf,
    clock: Clock,
    sound: Arc<dyn Fn() + Send + Sync>,
    tables: OwnTables,
    session: Mutex<PowerSession>,
    story: Mutex<Option<(u64, Arc<StoryView>)>>,
    /// Name and mark of the restoration, once it is begun.
    begun: OnceLock<Begun>,
    /// The mark of the pages until then.
    beginning: String,
    /// The form by which the file was made of what was written out.
    taken_back: Mutex<Option<String>>,
    /// The last entries made here, for what was said with each.
    made: Mutex<VecDeque<Arc<RecordedView>>>,
    /// How the set stands, as it was said on a page.
    stand: Mutex<Option<Stand>>,
    /// The last entry that the power-up was told with.
    told_with: Mutex<Option<u64>>,
    /// Whether the power-up is finished, once its plan was asked.
    power_is_finished: Mutex<Option<bool>>,
    /// The home network, where it was asked for.
    home: OnceLock<Arc<Home>>,
    /// The step at hand, as the beat tells it.
    pub(crate) step: RwLock<Option<StepAtHand>>,
    /// What goes to every open page.
    pub(crate) live: Live,
    /// What is being worked out.
    pub(crate) later: Later,
    /// The report that was made last.
    pub(crate) report: LastReport,
}

impl Bench {
    /// Opens a restoration; it is read once, so that a file that is none is told before anything is served. Where
    /// there is no such file in a folder that is there, its restoration is begun on the pages.
    pub fn open(opening: Opening) -> Result<Arc<Bench>, Trouble> {
        let bench = Bench {
            session: Mutex::new(PowerSession::of(&opening.file)),
            begun: OnceLock::new(),
            beginning: mark_of(&format!("to begin {}", opening.file.display())),
            story: Mutex::default(),
            taken_back: Mutex::default(),
            made: Mutex::default(),
            file: opening.file,
            clock: opening.clock,
            sound: opening.sound,
            tables: opening.tables,
            stand: Mutex::new(None),
            told_with: Mutex::new(None),
            power_is_finished: Mutex::new(None),
            home: OnceLock::new(),
            step: RwLock::new(None),
            live: Live::from(0),
            later: Later::default(),
            report: LastReport::default(),
        };
        if !is_to_begin(&bench.file)? {
            bench.take_up()?;
        }
        Ok(Arc::new(bench))
    }

    /// Takes up the restoration whose file is there by now.
    pub(crate) fn take_up(&self) -> Result<(), Trouble> {
        let (story, first) = tell_story_and_first(&self.file)?;
        let last = story.entered as u64;
        let begun = Begun {
            name: story.restoration.clone(),
            book: book_of(&story.restoration, first.as_ref()),
        };
        *lock(&self.story) = Some((last, Arc::new(story)));
        self.begun.get_or_init(|| begun);
        self.live.entered(last);
        Ok(())
    }

    /// Makes the file of what was written out, once for a form that comes twice.
    pub(crate) fn take_back(
        &self,
        once: Option<&str>,
        work: impl FnOnce(&Path) -> Result<(), Trouble>,
    ) -> Result<(), Trouble> {
        let mut made = lock(&self.taken_back);
        if once.is_some() && made.as_deref() == once {
            return Ok(());
        }
        work(&self.file)?;
        *made = once.map(str::to_owned);
        Ok(())
    }

    /// Whether the restoration is begun.
    pub fn is_begun(&self) -> bool {
        self.begun.get().is_some()
    }

    /// The restoration's file.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Tables of one's own.
    pub fn tables(&self) -> &OwnTables {
        &self.tables
    }

    /// Name of the restoration; that of its file until it is begun.
    pub fn name(&self) -> Cow<'_, str> {
        match (self.begun.get(), self.file.file_name()) {
            (Some(begun), _) => Cow::Borrowed(begun.name.as_str()),
            (None, Some(file)) => file.to_string_lossy(),
            (None, None) => self.file.to_string_lossy(),
        }
    }

    /// What tells this restoration from another one that is served at the same address, wherever its file stands.
    pub fn book(&self) -> &str {
        let begun = self.begun.get();
        begun.map_or(&self.beginning, |begun| &begun.book)
    }

    /// The home network, where it was asked for.
    pub(crate) fn home(&self) -> Option<&Arc<Home>> {
        self.home.get()
    }

    /// The home network is open from now on; it is opened once.
    pub(crate) fn at_home(&self, home: Home) -> &Arc<Home> {
        self.home.get_or_init(|| Arc::new(home))
    }

    /// The address that lets one more device in, with new words in it.
    pub fn new_pairing_page(&self) -> Option<String> {
        let home = self.home()?;
        let code = home.new_code(Instant::now());
        Some(home.pairing_page(&code))
    }

    /// The time of now.
    pub fn now(&self) -> Result<Stamp, Trouble> {
        (self.clock)()
    }

    /// Sounds at the laptop.
    pub fn sound(&self) {
        (self.sound)();
    }

    /// What stands, in the order in which it was entered; read once for each new entry.
    pub fn story(&self) -> Result<Arc<StoryView>, Trouble> {
        let last = self.live.last();
        let mut kept = lock(&self.story);
        if let Some((_, story)) = kept.as_ref().filter(|(at, _)| *at >= last) {
            return Ok(Arc::clone(story));
        }
        let story = Arc::new(tell_story(&self.file, false)?);
        *kept = Some((story.entered as u64, Arc::clone(&story)));
        Ok(story)
    }

    /// Lets every page know of an entry and keeps what was said with it; its number.
    pub fn made(&self, view: RecordedView) -> u64 {
        let number = view.entry.number;
        let mut made = lock(&self.made);
        made.push_back(Arc::new(view));
        if made.len() > MADE {
            made.pop_front();
        }
        drop(made);
        self.live.entered(number);
        number
    }

    /// What was said with an entry that was made here not long ago.
    pub(crate) fn said_with(&self, number: u64) -> Option<Arc<RecordedView>> {
        let made = lock(&self.made);
        made.iter()
            .rev()
            .find(|view| view.entry.number == number)
            .map(Arc::clone)
    }

    /// Does something in the power-up and lets every page know what came of it.
    pub fn power(
        &self,
        work: impl FnOnce(&mut PowerSession, &Stamp) -> Result<PowerUpView, Trouble>,
    ) -> Result<PowerUpView, Trouble> {
        let at = self.now()?;
        let mut session = lock(&self.session);
        let before = self.live.last();
        let view = work(&mut session, &at)?;
        self.note_step(&view, at.seconds());
        if let Some(entry) = view.entries.last() {
            self.live.entered(entry.number);
        }
        let told_with = view.entries.last().map_or(before, |entry| entry.number);
        *lock(&self.told_with) = Some(told_with);
        drop(session);
        Ok(view)
    }

    /// Whether the power-up was told with the last entry already, so that its plan is at hand.
    pub(crate) fn plan_is_at_hand(&self) -> bool {
        lock(&self.told_with).is_some_and(|told| told >= self.live.last())
    }

    /// Remembers the step at hand, for the beat and the laptop's watch.
    pub(crate) fn note_step(&self, view: &PowerUpView, now: i64) {
        *lock(&self.power_is_finished) = Some(view.state == "finished");
        let at_hand = StepAtHand::of(view, now);
        let mut step = self.step.write().unwrap_or_else(PoisonError::into_inner);
        if *step != at_hand {
            *step = at_hand;
            drop(step);
            self.live.step_changed();
        }
    }

    /// How the set stands, as it was said last on a page.
    pub(crate) fn stand(&self) -> Option<Stand> {
        lock(&self.stand).clone()
    }

    /// From now on the set stands so.
    pub(crate) fn stands(&self, stand: Stand) {
        *lock(&self.stand) = Some(stand);
    }

    /// Whether the power-up is finished; `None` until its plan was asked.
    pub(crate) fn power_is_finished(&self) -> Option<bool> {
        *lock(&self.power_is_finished)
    }

    /// The step at hand.
    pub(crate) fn step_at_hand(&self) -> Option<StepAtHand> {
        let step = self.step.read().unwrap_or_else(PoisonError::into_inner);
        step.clone()
    }

    /// An entry of now.
    pub fn entering(&self) -> Result<Entering<'_>, Trouble> {
        Ok(Entering::new(&self.file, self.now()?))
    }
}

/// Letters made of the restoration's name and its first entry, which never change.
fn book_of(restoration: &str, first: Option<&EntryView>) -> String {
    let first = first.map_or_else(String::new, |entry| {
        format!("{} {:?}", entry.at, entry.says)
    });
    mark_of(&format!("{restoration}\n{first}"))
}

/// Letters made of a text, the same for the same.
fn mark_of(text: &str) -> String {
    crate::words::letters(&Sha256::digest(text)[..12])
}

/// Whether there is nothing at this place yet, in a folder that is there.
fn is_to_begin(file: &Path) -> Result<bool, Trouble> {
    match file.symlink_metadata() {
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        _ => return Ok(false),
    }
    let folder = file.parent().filter(|own| !own.as_os_str().is_empty());
    if folder.is_none_or(Path::is_dir) {
        return Ok(true);
    }
    Err(Trouble::File {
        name: file.display().to_string(),
        text: "there is no such file, and its folder is not there either".to_owned(),
        hint: "look at the spelling, or make the folder first".to_owned(),
    })
}

/// A lock is taken also after a thread that held it went down: what it guards is only worked out anew.
pub(crate) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
