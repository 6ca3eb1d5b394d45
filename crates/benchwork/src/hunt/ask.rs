//! A restoration opened to hunt its fault: the set as it is now, its readings, what is foretold.
//!
//! Units of the readings. Fails where the file cannot be opened, where no sheet was taken in and
//! where it has faults. Conditions under which nothing can be foretold are no failure: their
//! readings say why.

use std::path::Path;

use logbook::{Entry, Logbook, LogbookError, standing_facts};
use receiver::conditions::BenchConditions;
use receiver::reading::What;
use receiver::sheet::Sheet;
use receiver::suspects::doubt::doubt;
use receiver::suspects::evidence::Seen;
use receiver::suspects::explain::healthy_band;
use receiver::suspects::hypotheses::{Hypotheses, Suspect};
use receiver::suspects::outcome::{Outcome, suspect_named};
use receiver::suspects::predict::Foretold;
use receiver::suspects::rank::{Ranking, rank_beside};
use receiver::suspects::signs::{Sign, Signs};
use receiver::sweep_drive::OutputDrive;
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;

use super::foretell::{Asked, Foretelling, Names};
use super::foretell_cold::cold;
use super::gather::{Gathered, Stands, endings, gather};
use super::notice::table;
use super::noticed::{Noticed, noticed};
use super::outcomes::{PartFound, looks, outcomes};
use crate::check_sheet::catalogue;
use crate::drive_shown::drive_shown;
use crate::known_sets;
use crate::long_work::LongWork;
use crate::restoration::trouble;
use crate::sheet_so_far::{SheetSoFar, sheet_so_far};
use crate::tell_things_to_see::table as things_to_look_at;
use crate::trouble::Trouble;
use crate::view::NoticeView;

/// Everything that is known when a fault is hunted.
pub(crate) struct Hunt<'m, 's> {
    pub file: String,
    pub restoration: String,
    pub model: &'m SetModel<'s>,
    pub so_far: &'m SheetSoFar,
    pub hypotheses: Hypotheses,
    /// All readings, those that count with where they are foretold.
    pub readings: Vec<Weighed>,
    /// What is foretold, one for each set of conditions in which something that counts was read.
    pub foretold: Vec<Foretold>,
    /// The names of their probes.
    pub names: Vec<Names>,
    /// What was found of single parts.
    pub found: Vec<PartFound>,
    /// What was noticed beside the meter.
    pub noticed: Vec<Noticed>,
    /// The same weighed, those of the present state that were understood.
    signs: Signs,
    /// Positions of these among all that was noticed.
    signs_of: Vec<usize>,
    pub notices: Vec<NoticeView>,
    /// The entries of the restoration, on which all of this rests.
    pub entries: &'m [Entry],
    book: Logbook,
    foretelling: Foretelling<'m, 's>,
}

/// A reading with where it is foretold.
pub(crate) struct Weighed {
    pub of: Gathered,
    /// Which conditions, which probe; `None` where it does not count.
    pub seen: Option<Seen>,
}

/// What the asker wants foretold when no reading counts.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Without {
    /// Nothing.
    Nothing,
    /// The settled set on its own line.
    Settled,
}

/// Opens a restoration and hunts in it.
pub(crate) fn hunt<T>(
    file: &Path,
    without: Without,
    work: LongWork<'_>,
    look: impl FnOnce(&mut Hunt<'_, '_>) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    hunt_for(file, without, work, |_, _, _| Ok(()), look)
}

/// The same where words were typed that a sheet may not know: they are looked at before anything is solved.
pub(crate) fn hunt_for<T>(
    file: &Path,
    without: Without,
    work: LongWork<'_>,
    known: impl FnOnce(&Sheet, &SetModel<'_>, &Hypotheses) -> Result<(), Trouble>,
    look: impl FnOnce(&mut Hunt<'_, '_>) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    let in_file = |error| trouble(file, error);
    // A file that may not be written can still be looked at.
    let book = match Logbook::open(file) {
        Err(LogbookError::ReadOnly) => Logbook::look(file),
        other => other,
    };
    let mut book = book.map_err(in_file)?;
    let entries = book.entries().map_err(in_file)?;
    let Some(text) = book.present_sheet().map_err(in_file)? else {
        return Err(Trouble::input(
            "no sheet was taken in, so nothing can be suspected",
            "take one in: `firstraster take FILE SHEET`",
        ));
    };
    let facts = standing_facts(&entries);
    let Some(so_far) = sheet_so_far(&text, &facts)? else {
        return Err(Trouble::input(
            "the sheet in the file has faults, so nothing can be suspected",
            "`firstraster check` tells them; take the mended sheet in with `firstraster take`",
        ));
    };
    let so_far = so_far.in_circuit(&text)?;
    let catalogue = catalogue()?;
    let mut notices = Vec::new();
    let whole = with_untold_tubes(&so_far.sheet, catalogue);
    if let Some((_, notice)) = &whole {
        notices.push(NoticeView::from(notice.clone()));
    }
    let sheet = whole.as_ref().map_or(&so_far.sheet, |(whole, _)| whole);
    let model = SetModel::new(sheet, catalogue);
    known_sets::take_over(&model);
    let mut hypotheses = Hypotheses::of(&model, catalogue);
    known(&so_far.sheet, &model, &hypotheses)?;
    let found = outcomes(&model, &facts);
    let table = table()?;
    let endings = endings(&so_far.sheet, &facts);
    let noticed = noticed(&model, &hypotheses, table, &facts, &found, &endings);
    // What was found in figures is weighed by them, and not by the verdict as well.
    let has_figure = |entry: u64| {
        let mut own = noticed.iter().filter(|own| own.entry == entry);
        own.any(|own| matches!(own.sign, Ok(Sign::Measured(_))))
    };
    let outcomes: Vec<Outcome> = found
        .iter()
        .filter(|own| !has_figure(own.entry))
        .map(|own| own.outcome.clone())
        .collect();
    hypotheses.take_in(&outcomes);
    hypotheses.look_at(
        &model,
        catalogue,
        &looks(&model, things_to_look_at()?, &facts),
    );
    let mut gathered = gather(&so_far.sheet, &facts);
    let foretelling = Foretelling::new(&so_far, &model, &hypotheses);
    let counting: Vec<(usize, Sign)> = noticed
        .iter()
        .enumerate()
        .filter(|(_, own)| own.former.is_none())
        .filter_map(|(at, own)| Some((at, own.sign.clone().ok()?)))
        .collect();
    let (signs_of, of_now): (Vec<usize>, Vec<Sign>) = counting.into_iter().unzip();
    // What was noticed alone is weighed on the settled set.
    let without = if of_now.is_empty() {
        without
    } else {
        Without::Settled
    };
    let (mut foretold, mut names) = (Vec::new(), Vec::new());
    let stood = conditions_of(&gathered);
    for (at, (conditions, is_cold)) in stood.iter().enumerate() {
        let is_cold = *is_cold;
        work.comes_to(&format!(
            "Solving the set as it stood for its readings, {} of {}",
            at + 1,
            stood.len()
        ))?;
        let asked = asked_under(&gathered, conditions, is_cold);
        let told = match is_cold {
            true => cold(&model, &hypotheses, conditions, &asked, None),
            false => foretelling.under(&mut book, conditions, &asked),
        };
        match told {
            Ok((own, named)) => {
                foretold.push(own);
                names.push(named);
            }
            Err(because) => not_foretold(&mut gathered, conditions, is_cold, &because),
        }
    }
    // Cold resistances alone tell nothing of what the set does under power.
    if foretold.iter().all(Foretold::is_cold) && without == Without::Settled {
        work.comes_to("Solving the settled set")?;
        let conditions = BenchConditions {
            bands: true,
            ..BenchConditions::default()
        };
        let own = foretelling.under(&mut book, &conditions, &[]);
        let (own, named) = own.map_err(|because| {
            Trouble::input(
                format!("nothing is foretold of the settled set: {because}"),
                "look at what `firstraster expect` tells of the sheet",
            )
        })?;
        foretold.push(own);
        names.push(named);
    }
    work.comes_to("Weighing who is to blame")?;
    let signs = Signs::of(&model, &hypotheses, &foretold, table, &of_now);
    let readings = gathered
        .into_iter()
        .map(|own| weighed(own, &foretold, &names))
        .collect();
    let found = look(&mut Hunt {
        file: file.display().to_string(),
        restoration: book.name().map_err(in_file)?,
        model: &model,
        so_far: &so_far,
        hypotheses,
        readings,
        foretold,
        names,
        found,
        noticed,
        signs,
        signs_of,
        notices,
        entries: &entries,
        book,
        foretelling,
    });
    known_sets::keep(&model);
    found
}

/// The conditions in which something that counts was read, each once, and whether the plug was out: those
/// under power first.
fn conditions_of(gathered: &[Gathered]) -> Vec<(BenchConditions, bool)> {
    let mut found: Vec<(BenchConditions, bool)> = Vec::new();
    for own in gathered {
        if let Stands::Now(what, conditions) = &own.stands {
            let own = ((**conditions).clone(), *what == What::Ohms);
            if !found.contains(&own) {
                found.push(own);
            }
        }
    }
    found.sort_by_key(|own| own.1);
    found
}

fn asked_under<'a>(
    gathered: &'a [Gathered],
    under: &BenchConditions,
    is_cold: bool,
) -> Vec<Asked<'a>> {
    let asked = gathered.iter().filter_map(|own| match &own.stands {
        Stands::Now(what, conditions)
            if **conditions == *under && (*what == What::Ohms) == is_cold =>
        {
            Some((own.at.as_str(), own.to.as_deref(), *what))
        }
        _ => None,
    });
    let mut asked: Vec<Asked<'a>> = asked.collect();
    asked.sort_unstable();
    asked.dedup();
    asked
}

fn not_foretold(gathered: &mut [Gathered], under: &BenchConditions, is_cold: bool, because: &str) {
    for own in gathered {
        if matches!(&own.stands, Stands::Now(what, conditions)
            if **conditions == *under && (*what == What::Ohms) == is_cold)
        {
            own.stands = Stands::Unused {
                because: format!("nothing is foretold under these conditions: {because}"),
            };
        }
    }
}

fn weighed(mut own: Gathered, foretold: &[Foretold], names: &[Names]) -> Weighed {
    let mut seen = None;
    if let Stands::Now(what, conditions) = &own.stands {
        let mut under = foretold.iter().zip(names).enumerate();
        let found = under
            .find(|(_, (told, _))| {
                told.conditions == **conditions && told.is_cold() == (*what == What::Ohms)
            })
            .map(|(at, (told, names))| {
                (at, names.probe(told, (&own.at, own.to.as_deref(), *what)))
            });
        match found {
            Some((at, Ok(probe))) => {
                seen = Some(Seen {
                    conditions: at,
                    probe,
                    value: own.value,
                    doubt: own
                        .doubt
                        .unwrap_or_else(|| doubt(conditions.meter.as_ref(), *what, own.value))
                        .hypot(own.rounded),
                });
            }
            Some((_, Err(because))) => own.stands = Stands::Unused { because },
            None => {}
        }
    }
    Weighed { of: own, seen }
}

impl Hunt<'_, '_> {
    /// The readings that count.
    pub fn seen(&self) -> Vec<Seen> {
        self.readings.iter().filter_map(|own| own.seen).collect()
    }

    /// The reading of a position among those that count.
    pub fn reading(&self, seen: usize) -> Option<&Weighed> {
        let mut counting = self.readings.iter().filter(|own| own.seen.is_some());
        counting.nth(seen)
    }

    /// The conditions in which the set stands now, as far as is known: those of the last reading under
    /// power that counts, by their position.
    pub fn present(&self) -> usize {
        let powered = |seen: &Seen| {
            let told = self.foretold.get(seen.conditions);
            told.is_some_and(|own| !own.is_cold())
        };
        let seen = self.readings.iter().rev().filter_map(|own| own.seen);
        let last = seen.clone().find(powered).map(|seen| seen.conditions);
        let first = self.foretold.iter().position(|own| !own.is_cold());
        last.or(first).unwrap_or(0)
    }

    /// Foretells further conditions in which nothing was read yet; those under which nothing can
    /// be foretold are left out. `some` is for which hypotheses alone; without it all are foretold.
    ///
    /// # Errors
    /// [`Trouble::Left`] where nobody wants it any more.
    pub fn foretell(
        &mut self,
        further: &[BenchConditions],
        some: Option<&[usize]>,
        work: LongWork<'_>,
    ) -> Result<(), Trouble> {
        let complete = self.foretold.len();
        for (at, conditions) in further.iter().enumerate() {
            let of = further.len();
            work.comes_to(&format!(
                "Solving the set as it may be read besides, {} of {of}",
                at + 1
            ))?;
            let known = self.foretold.iter();
            let is_known = |told: &Foretold| !told.is_cold() && told.conditions == *conditions;
            if known.clone().any(is_known) {
                continue;
            }
            let (own, book) = (&self.foretelling, &mut self.book);
            let found = match some {
                Some(held) => own.under_for(book, conditions, held, &self.foretold[..complete]),
                None => own.under(book, conditions, &[]),
            };
            if let Ok((told, names)) = found {
                self.foretold.push(told);
                self.names.push(names);
            }
        }
        Ok(())
    }

    /// Foretells the cold resistances of the set as it stands in these conditions, where they are not foretold yet, for
    /// those hypotheses alone; where nothing can be foretold of them they are left out.
    pub fn foretell_cold(&mut self, standing: &BenchConditions, held: &[usize]) {
        let conditions = BenchConditions {
            pulled: standing.pulled.clone(),
            open: standing.open.clone(),
            fitted_without: standing.fitted_without.clone(),
            bands: true,
            ..BenchConditions::default()
        };
        let same = |told: &Foretold| {
            let own = &told.conditions;
            told.is_cold()
                && (&own.pulled, &own.open, &own.fitted_without)
                    == (
                        &conditions.pulled,
                        &conditions.open,
                        &conditions.fitted_without,
                    )
        };
        if self.foretold.iter().any(same) {
            return;
        }
        let told = cold(self.model, &self.hypotheses, &conditions, &[], Some(held));
        if let Ok((told, names)) = told {
            self.foretold.push(told);
            self.names.push(names);
        }
    }

    /// Everything ranked.
    pub fn ranking(&self) -> Ranking {
        rank_beside(&self.hypotheses, &self.foretold, &self.seen(), &self.signs)
    }

    /// What is known of the drive of the horizontal output tube.
    pub fn drives(&self) -> Vec<OutputDrive> {
        let band = |entry: u64| {
            let own = self.readings.iter().find(|own| own.of.entry == entry)?;
            let seen = own.seen?;
            let band = healthy_band(self.foretold.get(seen.conditions)?, seen.probe)?;
            Some((band.low, band.high))
        };
        let facts = standing_facts(self.entries);
        drive_shown(self.model, &self.so_far.sheet, &facts, band)
    }

    /// What was noticed beside the readings, weighed.
    pub fn signs(&self) -> &Signs {
        &self.signs
    }

    /// Whether nothing of the present state is weighed: no reading and nothing noticed.
    pub fn knows_nothing(&self) -> bool {
        let none_read = self.readings.iter().all(|own| own.seen.is_none());
        none_read && self.signs_of.is_empty()
    }

    /// Everything noticed that is weighed, beside a fault: its position and the logarithm of how many times
    /// likelier it is than in a healthy set.
    pub fn noticed_beside(&self, hypothesis: usize, severity: f64) -> Vec<(usize, f64)> {
        let weighed = self.signs_of.iter().enumerate();
        weighed
            .filter(|(sign, _)| self.signs.not_weighed(*sign).is_none())
            .map(|(sign, at)| (*at, self.signs.of_sign(sign, hypothesis, severity)))
            .collect()
    }

    /// Why something noticed is not weighed; `None` where it is.
    pub fn not_weighed(&self, noticed: usize) -> Option<String> {
        let own = self.noticed.get(noticed)?;
        if let Err(because) = &own.sign {
            return Some(because.clone());
        }
        let sign = self.signs_of.iter().position(|at| *at == noticed)?;
        self.signs.not_weighed(sign).map(str::to_owned)
    }

    /// The suspect of this name, or the usual answer to a name that the sheet has not.
    pub fn suspect(&self, name: &str) -> Result<Suspect, Trouble> {
        suspect(&self.so_far.sheet, self.model, name)
    }
}

/// A part, tube or transformer by its name.
pub(super) fn suspect(sheet: &Sheet, model: &SetModel<'_>, name: &str) -> Result<Suspect, Trouble> {
    suspect_named(model, name).ok_or_else(|| {
        let hint = match sheet.nearest_reference(name) {
            Some(nearest) => format!("did you mean `{nearest}`?"),
            None => "references are in the sheet's own rows".to_owned(),
        };
        Trouble::input(
            format!(
                "`{}` is no part, tube or transformer of this sheet",
                name.trim()
            ),
            hint,
        )
    })
}
