//! The first power-up, live: begun, read, judged, ended, left and taken up again.
//!
//! Each entry is a fact in the restoration's file. The plan is worked out from the sheet as it
//! holds now, with all that was measured, replaced and cut loose, and is kept beside the facts
//! until one of them changes it. Times are handed in. A reading beyond a limit and the stop that
//! it makes are written together. Fails where an entry would break the order of the steps, where
//! the sheet has faults, and where the file cannot be read or written; nothing is written then.

mod drive;
mod enter;
mod happenings;
mod tell;
mod understand;

use std::path::{Path, PathBuf};

use logbook::{Entry, Logbook, LogbookError, Stamp, standing_facts};
use receiver::expect::Predictor;
use receiver::plan::{PowerUpPlan, Step};
use receiver::power_up::{PowerUpStanding, standing, under_way_since};
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;

use crate::asked_of_receiver;
use crate::check_sheet::catalogue;
use crate::kept_plan;
use crate::known_sets;
use crate::restoration::trouble;
use crate::sheet_so_far::{SheetSoFar, sheet_so_far};
use crate::trouble::Trouble;
use crate::view::{NoticeView, PowerUpView};
use happenings::happenings;
pub use understand::PowerReading;

/// A power-up at the bench. It keeps the plan while the program runs.
#[derive(Debug)]
pub struct PowerSession {
    path: PathBuf,
    plan: Option<(String, PowerUpPlan)>,
    worked_out: usize,
    once: Option<String>,
}

/// Everything that is known at one moment.
struct Moment {
    book: Logbook,
    entries: Vec<Entry>,
    so_far: SheetSoFar,
    steps: Vec<Step>,
    standing: PowerUpStanding,
}

impl PowerSession {
    /// A power-up of the set in this file.
    pub fn of(file: &Path) -> PowerSession {
        PowerSession {
            path: file.to_path_buf(),
            plan: None,
            worked_out: 0,
            once: None,
        }
    }

    /// The next entry was sent under this id, see [`Entering::once`](crate::Entering::once): what
    /// comes again under it is told with how the power-up stands now, and not entered again. Used
    /// up by that entry, made or refused.
    pub fn once(&mut self, id: &str) {
        self.once = Some(id.to_owned());
    }

    /// How often a plan had to be worked out anew.
    pub fn worked_out(&self) -> usize {
        self.worked_out
    }

    /// How the power-up stands now.
    pub fn tell(&mut self, now: &Stamp) -> Result<PowerUpView, Trouble> {
        let moment = self.moment(now)?;
        self.view(&moment, &[])
    }

    fn moment(&mut self, now: &Stamp) -> Result<Moment, Trouble> {
        let in_file = |error| trouble(&self.path, error);
        // A file that may not be written can still be looked at; an entry is refused when it is made.
        let book = match Logbook::open(&self.path) {
            Err(LogbookError::ReadOnly) => Logbook::look(&self.path),
            other => other,
        };
        let book = book.map_err(in_file)?;
        let entries = book.entries().map_err(in_file)?;
        let Some(text) = book.present_sheet().map_err(in_file)? else {
            return Err(Trouble::input(
                "no sheet was taken in, so there is no plan",
                "take one in: `firstraster take FILE SHEET`",
            ));
        };
        // While a step is under way its plan stays: what is entered in it bends the next one.
        let facts = standing_facts(&entries);
        let begun = under_way_since(&happenings(&entries, &[]), now.seconds()).unwrap_or(u64::MAX);
        let planned = facts.iter().filter(|one| one.number <= begun);
        let planned: Vec<_> = planned.copied().collect();
        let planned_on = sheet_so_far(&text, &planned)?;
        let so_far = if planned.len() == facts.len() {
            planned_on.clone()
        } else {
            sheet_so_far(&text, &facts)?
        };
        let (Some(so_far), Some(planned_on)) = (so_far, planned_on) else {
            return Err(Trouble::input(
                "the sheet in the file has faults, so there is no plan",
                "`firstraster check` tells them; take the mended sheet in with `firstraster take`",
            ));
        };
        let mut moment = Moment {
            book,
            entries,
            so_far,
            steps: Vec::new(),
            standing: standing(&[], &[], 0),
        };
        self.plan_of(&mut moment.book, &planned_on)?;
        moment.steps = self.steps().to_vec();
        without_what_is_seen_to(&mut moment.steps, &moment.so_far);
        let happened = happenings(&moment.entries, &moment.steps);
        moment.standing = standing(&moment.steps, &happened, now.seconds());
        Ok(moment)
    }

    fn steps(&self) -> &[Step] {
        self.plan.as_ref().map_or(&[], |(_, plan)| &plan.steps)
    }

    fn notices(&self) -> Vec<NoticeView> {
        let plan = self.plan.as_ref();
        let notices = plan.map_or(&[][..], |(_, plan)| &plan.notices);
        notices.iter().cloned().map(NoticeView::from).collect()
    }

    /// The plan for the sheet as it holds now: at hand, kept beside the facts, or worked out.
    fn plan_of(&mut self, book: &mut Logbook, so_far: &SheetSoFar) -> Result<(), Trouble> {
        let rests_on = format!("power-up\n{}", so_far.rests_on());
        if self.plan.as_ref().is_some_and(|(own, _)| *own == rests_on) {
            return Ok(());
        }
        let kept = book.worked_out(&rests_on).ok().flatten();
        if let Some(plan) = kept.and_then(|bytes| kept_plan::from_bytes(&bytes)) {
            self.plan = Some((rests_on, plan));
            return Ok(());
        }
        let sheet = &so_far.sheet;
        let catalogue = catalogue()?;
        let whole = with_untold_tubes(sheet, catalogue);
        let model = SetModel::new(whole.as_ref().map_or(sheet, |(whole, _)| whole), catalogue);
        known_sets::take_over(&model);
        let mut plan = asked_of_receiver::wake(&Predictor::new(&model), &mut |_| {})?;
        known_sets::keep(&model);
        if let Some((_, notice)) = whole {
            plan.notices.insert(0, notice);
        }
        self.worked_out += 1;
        if let Some(bytes) = kept_plan::to_bytes(&plan) {
            // A plan that cannot be kept is worked out again the next time.
            let _ = book.keep_worked_out(&rests_on, &bytes);
        }
        self.plan = Some((rests_on, plan));
        Ok(())
    }
}

/// Takes the parts that are seen to by now off the steps that ask for them.
fn without_what_is_seen_to(steps: &mut [Step], so_far: &SheetSoFar) {
    let state = &so_far.sheet.state;
    for step in steps {
        step.parts.retain(|part| {
            !state.replaced.contains(part)
                && !state.cut_loose.contains(part)
                && !state.re_formed.contains(part)
        });
    }
}
