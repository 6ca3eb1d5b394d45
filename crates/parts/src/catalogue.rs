//! All tables together, read once.
//!
//! The tables are part of the program; nothing is read from a file when it
//! runs. If a table is at fault, every fault of every table is given and there
//! is no catalogue: half of it would look like knowledge.

use std::collections::HashMap;
use std::sync::OnceLock;

use crate::alias::{Alias, read_aliases};
use crate::base::{Base, find_base, read_bases};
use crate::fault::DataFault;
use crate::lamp::{LampType, lamp_of_rating, read_lamps};
use crate::metal_rectifier::{
    SeleniumType, SiliconType, find_selenium, read_selenium, read_silicon,
};
use crate::neon_lamp::{NeonLampType, read_neon_lamps};
use crate::own_types::OwnType;
use crate::read_tube::{read_picture_tubes, read_tubes, tube_key};
use crate::small_diode::{SmallDiodeType, read_small_diodes};
use crate::table::nearest;
use crate::thermistor::{ThermistorType, read_thermistors};
use crate::trade::{
    PartFault, PartTrade, ReplacementRule, TradeNumber, read_part_faults, read_parts_trade,
    read_replacement_rules, read_trade_numbers,
};
use crate::tube::TubeType;
use crate::tube_name::{suffix_rank, take_apart};
use crate::tungsten::{TungstenTable, read_tungsten};

/// The published figures: tubes, rectifiers, lamps, faults, trade numbers.
#[derive(Clone, Debug)]
pub struct Catalogue {
    bases: Vec<Base>,
    tubes: Vec<TubeType>,
    aliases: Vec<Alias>,
    /// Where each number, reduced to capitals and digits, is among the tubes.
    tube_at: HashMap<String, usize>,
    /// The same for other numbers among the aliases.
    alias_at: HashMap<String, usize>,
    selenium: Vec<SeleniumType>,
    silicon: Vec<SiliconType>,
    small_diodes: Vec<SmallDiodeType>,
    neon_lamps: Vec<NeonLampType>,
    lamps: Vec<LampType>,
    thermistors: Vec<ThermistorType>,
    tungsten: TungstenTable,
    part_faults: Vec<PartFault>,
    trade_numbers: Vec<TradeNumber>,
    parts_trade: Vec<PartTrade>,
    replacement_rules: Vec<ReplacementRule>,
}

/// The answer to a type number: which tube, and whether it is really that one.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeMatch<'a> {
    /// The tube found.
    pub tube: &'a TubeType,
    /// The type number as it was asked.
    pub asked: String,
    /// Whether the figures are those of this very number. Another number of
    /// the same tube is not exact: the note names it.
    pub exact: bool,
    /// What the answer rests on when it is not exact.
    pub note: Option<String>,
}

/// The catalogue, read at the first call.
///
/// # Errors
/// Every fault of every table, if there is one.
pub fn catalogue() -> Result<&'static Catalogue, &'static [DataFault]> {
    static READ: OnceLock<Result<Catalogue, Vec<DataFault>>> = OnceLock::new();
    READ.get_or_init(|| Catalogue::read(&Tables::built_in()))
        .as_ref()
        .map_err(Vec::as_slice)
}

/// The bases of the built-in table, for tubes described in a sheet.
pub(crate) fn bases() -> &'static [Base] {
    static READ: OnceLock<Vec<Base>> = OnceLock::new();
    READ.get_or_init(|| read_bases("bases.csv", Tables::built_in().bases, &mut Vec::new()))
}

/// The text of each table.
#[derive(Clone, Copy)]
pub(crate) struct Tables<'a> {
    pub(crate) bases: &'a str,
    pub(crate) tubes: &'a str,
    pub(crate) picture_tubes: &'a str,
    pub(crate) aliases: &'a str,
    pub(crate) selenium: &'a str,
    pub(crate) silicon: &'a str,
    pub(crate) small_diodes: &'a str,
    pub(crate) neon_lamps: &'a str,
    pub(crate) lamps: &'a str,
    pub(crate) thermistors: &'a str,
    pub(crate) tungsten: &'a str,
    pub(crate) part_faults: &'a str,
    pub(crate) trade_numbers: &'a str,
    pub(crate) parts_trade: &'a str,
    pub(crate) replacement_rules: &'a str,
}

impl Tables<'static> {
    /// The tables of `data/`.
    pub(crate) fn built_in() -> Tables<'static> {
        Tables {
            bases: include_str!("../../../data/bases.csv"),
            tubes: include_str!("../../../data/tubes.csv"),
            picture_tubes: include_str!("../../../data/picture_tubes.csv"),
            aliases: include_str!("../../../data/aliases.csv"),
            selenium: include_str!("../../../data/metal_rectifiers_selenium.csv"),
            silicon: include_str!("../../../data/metal_rectifiers_silicon.csv"),
            small_diodes: include_str!("../../../data/small_diodes.csv"),
            neon_lamps: include_str!("../../../data/neon_lamps.csv"),
            lamps: include_str!("../../../data/lamps.csv"),
            thermistors: include_str!("../../../data/thermistors.csv"),
            tungsten: include_str!("../../../data/tungsten.csv"),
            part_faults: include_str!("../../../data/part_faults.csv"),
            trade_numbers: include_str!("../../../data/trade_numbers.csv"),
            parts_trade: include_str!("../../../data/parts_trade.csv"),
            replacement_rules: include_str!("../../../data/replacement_rules.csv"),
        }
    }
}

impl Catalogue {
    /// Reads all tables; every fault at once.
    pub(crate) fn read(tables: &Tables<'_>) -> Result<Catalogue, Vec<DataFault>> {
        let mut faults = Vec::new();
        let bases = read_bases("bases.csv", tables.bases, &mut faults);
        let mut tubes = read_tubes("tubes.csv", tables.tubes, &bases, &mut faults);
        let pictures = read_picture_tubes(
            "picture_tubes.csv",
            tables.picture_tubes,
            &bases,
            &mut faults,
        );
        tubes.extend(pictures);
        let aliases = read_aliases("aliases.csv", tables.aliases, &mut tubes, &mut faults);
        let selenium = read_selenium(
            "metal_rectifiers_selenium.csv",
            tables.selenium,
            &mut faults,
        );
        let silicon = read_silicon("metal_rectifiers_silicon.csv", tables.silicon, &mut faults);
        let small_diodes = read_small_diodes("small_diodes.csv", tables.small_diodes, &mut faults);
        let neon_lamps = read_neon_lamps("neon_lamps.csv", tables.neon_lamps, &mut faults);
        let lamps = read_lamps("lamps.csv", tables.lamps, &mut faults);
        let thermistors = read_thermistors("thermistors.csv", tables.thermistors, &mut faults);
        let tungsten = read_tungsten("tungsten.csv", tables.tungsten, &mut faults);
        let part_faults = read_part_faults("part_faults.csv", tables.part_faults, &mut faults);
        let trade_numbers =
            read_trade_numbers("trade_numbers.csv", tables.trade_numbers, &mut faults);
        let parts_trade = read_parts_trade("parts_trade.csv", tables.parts_trade, &mut faults);
        let replacement_rules = read_replacement_rules(
            "replacement_rules.csv",
            tables.replacement_rules,
            &mut faults,
        );
        match tungsten {
            Some(tungsten) if faults.is_empty() => Ok(Catalogue {
                tube_at: places(tubes.iter().map(|tube| tube.name.as_str())),
                alias_at: places(aliases.iter().map(|alias| alias.name.as_str())),
                bases,
                tubes,
                aliases,
                selenium,
                silicon,
                small_diodes,
                neon_lamps,
                lamps,
                thermistors,
                tungsten,
                part_faults,
                trade_numbers,
                parts_trade,
                replacement_rules,
            }),
            _ => Err(faults),
        }
    }

    /// The tube of that number, or the one of which it is another number with
    /// the same figures. Case, spaces and dashes do not count. A number that
    /// only resembles another by its suffix is not answered here; see
    /// [`Catalogue::tube_match`], which says what its answer rests on.
    pub fn tube(&self, name: &str) -> Option<&TubeType> {
        let listed = self
            .tube_at
            .get(&tube_key(name))
            .and_then(|at| self.tubes.get(*at));
        listed.or_else(|| {
            let alias = self.alias(name)?;
            self.tubes.get(*self.tube_at.get(&tube_key(&alias.tube))?)
        })
    }

    /// The other number as the catalogue lists it, with what it stands for.
    pub fn alias(&self, name: &str) -> Option<&Alias> {
        let at = self.alias_at.get(&tube_key(name))?;
        self.aliases.get(*at)
    }

    /// The tube of that number with what the answer rests on. Also answers a
    /// suffix that the catalogue lacks by the same number with the nearest
    /// earlier suffix, and says so.
    pub fn tube_match(&self, name: &str) -> Option<TubeMatch<'_>> {
        let asked = name.trim().to_string();
        if let Some(tube) = self.tube(name) {
            let note = self
                .alias(name)
                .filter(|alias| tube.name == alias.tube || !alias.same_figures)
                .map(|alias| format!("{} is taken as {}: {}", alias.name, alias.tube, alias.note));
            return Some(TubeMatch {
                tube,
                asked,
                exact: note.is_none(),
                note,
            });
        }
        let parts = take_apart(name)?;
        let rank = suffix_rank(&parts.suffix);
        let mut kin: Vec<(usize, &TubeType)> = self
            .tubes
            .iter()
            .filter_map(|tube| {
                let own = take_apart(&tube.name)?;
                (own.root == parts.root).then(|| (suffix_rank(&own.suffix), tube))
            })
            .collect();
        kin.sort_by_key(|(own, _)| *own);
        let earlier = kin.iter().rev().find(|(own, _)| *own < rank);
        let (_, tube) = earlier.or(kin.first())?;
        Some(TubeMatch {
            tube,
            note: Some(format!(
                "{asked} is not in the catalogue and is taken as {}: pins and heater agree as a rule, ratings and controlled warm-up may differ",
                tube.name
            )),
            asked,
            exact: false,
        })
    }

    /// Up to five numbers that look most like the one asked, nearest first.
    pub fn nearest_tubes(&self, name: &str) -> Vec<&str> {
        let known = self
            .tubes
            .iter()
            .map(|tube| tube.name.as_str())
            .chain(self.aliases.iter().map(|alias| alias.name.as_str()));
        nearest(name.trim(), known, 5)
    }

    /// All tubes, receiving tubes first.
    pub fn tubes(&self) -> impl Iterator<Item = &TubeType> {
        self.tubes.iter()
    }

    /// The base of that name or other usual writing.
    pub fn base(&self, name: &str) -> Option<&Base> {
        find_base(&self.bases, name)
    }

    /// All bases.
    pub fn bases(&self) -> &[Base] {
        &self.bases
    }

    /// This catalogue with a restorer's own types beside the built-in ones. A
    /// row whose number is built in, or is another number of a built-in type,
    /// does not take its place: it is left out here and stays in `own`.
    pub fn with_own(&self, own: &[OwnType]) -> Catalogue {
        let mut together = self.clone();
        for row in own.iter().filter(|row| !self.has_number(&row.tube.name)) {
            let at = together.tubes.len();
            together.tube_at.insert(tube_key(&row.tube.name), at);
            together.tubes.push(row.tube.clone());
        }
        together
    }

    /// Whether the number is that of a built-in type or another number of one.
    pub fn has_number(&self, name: &str) -> bool {
        let key = tube_key(name);
        self.tube_at.contains_key(&key) || self.alias_at.contains_key(&key)
    }

    /// All other numbers.
    pub fn aliases(&self) -> &[Alias] {
        &self.aliases
    }

    /// A selenium stack as new. A size that the table lacks is made up from
    /// the single cell, marked as estimated. `None` for no plates or a rating
    /// that is no positive number.
    pub fn selenium(&self, plates: u32, rated_milliamperes: Option<f64>) -> Option<SeleniumType> {
        find_selenium(&self.selenium, plates, rated_milliamperes)
    }

    /// The rows of the table of selenium.
    pub fn selenium_rows(&self) -> &[SeleniumType] {
        &self.selenium
    }

    /// A silicon rectifier by its type number.
    pub fn silicon(&self, name: &str) -> Option<&SiliconType> {
        let key = tube_key(name);
        self.silicon.iter().find(|row| tube_key(&row.name) == key)
    }

    /// The weakest listed silicon rectifier that bears the amperes and inverse
    /// volts; its drop stands for the class.
    pub fn silicon_of_rating(&self, amperes: f64, inverse_volts: f64) -> Option<&SiliconType> {
        self.silicon
            .iter()
            .filter(|row| {
                row.rated_milliamperes
                    .is_some_and(|rated| rated >= amperes * 1000.0)
                    && row
                        .max_inverse_volts
                        .is_some_and(|volts| volts >= inverse_volts)
                    && row.drop_volts.is_some()
            })
            .min_by(|one, other| {
                let size = |row: &SiliconType| (row.rated_milliamperes, row.max_inverse_volts);
                size(one)
                    .partial_cmp(&size(other))
                    .unwrap_or(std::cmp::Ordering::Equal)
            })
    }

    /// The rows of the table of silicon rectifiers.
    pub fn silicon_rows(&self) -> &[SiliconType] {
        &self.silicon
    }

    /// A germanium or selenium diode by its type number; see also
    /// [`crate::GENERAL_GERMANIUM_DIODE`] and [`crate::GENERAL_SELENIUM_DIODE`].
    pub fn small_diode(&self, name: &str) -> Option<&SmallDiodeType> {
        let key = tube_key(name);
        self.small_diodes
            .iter()
            .find(|row| tube_key(&row.name) == key)
    }

    /// All germanium and selenium diodes.
    pub fn small_diodes(&self) -> &[SmallDiodeType] {
        &self.small_diodes
    }

    /// A neon lamp by its type number.
    pub fn neon_lamp(&self, name: &str) -> Option<&NeonLampType> {
        let key = tube_key(name);
        self.neon_lamps
            .iter()
            .find(|row| tube_key(&row.name) == key)
    }

    /// All neon lamps.
    pub fn neon_lamps(&self) -> &[NeonLampType] {
        &self.neon_lamps
    }

    /// The lamps of the table, smallest first.
    pub fn lamps(&self) -> &[LampType] {
        &self.lamps
    }

    /// The listed 120 V lamp of so many watts.
    pub fn lamp(&self, watts: f64) -> Option<&LampType> {
        self.lamps
            .iter()
            .find(|lamp| (lamp.watts - watts).abs() < 1e-6)
    }

    /// A lamp of any usual rating, scaled where the table lacks it. `None`
    /// outside 5 to 500 W and 100 to 250 V.
    pub fn lamp_of_rating(&self, watts: f64, volts: f64) -> Option<LampType> {
        lamp_of_rating(&self.lamps, watts, volts)
    }

    /// A thermistor by name; see also [`crate::GENERAL_HEATER_STRING`].
    pub fn thermistor(&self, name: &str) -> Option<&ThermistorType> {
        let key = tube_key(name);
        self.thermistors
            .iter()
            .find(|row| tube_key(&row.name) == key)
    }

    /// All thermistors.
    pub fn thermistors(&self) -> &[ThermistorType] {
        &self.thermistors
    }

    /// Tungsten from room temperature to its melting point.
    pub fn tungsten(&self) -> &TungstenTable {
        &self.tungsten
    }

    /// A rule of thumb by its name, case not counting.
    pub fn trade_number(&self, name: &str) -> Option<&TradeNumber> {
        let asked = name.trim();
        self.trade_numbers
            .iter()
            .find(|row| row.name.eq_ignore_ascii_case(asked))
    }

    /// All rules of thumb.
    pub fn trade_numbers(&self) -> &[TradeNumber] {
        &self.trade_numbers
    }

    /// The ways in which a kind of part fails; empty for an unknown kind.
    pub fn part_faults(&self, kind: &str) -> Vec<&PartFault> {
        self.part_faults
            .iter()
            .filter(|row| row.part_kind == kind)
            .collect()
    }

    /// All ways in which parts fail.
    pub fn all_part_faults(&self) -> &[PartFault] {
        &self.part_faults
    }

    /// What to do about old parts, by kind.
    pub fn parts_trade(&self) -> &[PartTrade] {
        &self.parts_trade
    }

    /// Rules about parts that have no figures of their own.
    pub fn replacement_rules(&self) -> &[ReplacementRule] {
        &self.replacement_rules
    }
}

/// Where each name is, by its capitals and digits.
fn places<'a>(names: impl Iterator<Item = &'a str>) -> HashMap<String, usize> {
    names
        .enumerate()
        .map(|(at, name)| (tube_key(name), at))
        .collect()
}
