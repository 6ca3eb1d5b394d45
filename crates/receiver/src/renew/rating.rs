//! The rating of the part of today: volts, ripple, and how many in series.
//!
//! Volts, amperes, watts. Source: the worst computed case ([`super::burden`]), with the margins of common practice; what is
//! made, from [`parts::TodaysParts`]. Never below the maker's marking while that is made. Nothing here can fail.

use parts::{TodaysPart, TodaysParts};
use quantity::{Series, Unit, bench};

use crate::plan::ratings::SURGE_SHARE;

use super::burden::Unknown;
use super::right_part::{Asked, Balance, Pieces, RightPart, WATTS_MARGIN, at_least};

/// Rated volts of a film or ceramic part over the worst computed volts, at least (common practice).
const FILM_MARGIN: f64 = 1.25;
/// Share of an electrolytic's rated volts that lasts while the set runs (common practice).
const ELECTROLYTIC_SHARE: f64 = 0.9;
/// Share of a resistor's volt limit that is used (judgement).
const RESISTOR_VOLTS_SHARE: f64 = 0.9;
/// Ripple rating of 120 cycles that holds at the frequency of the line (from memory of makers' tables: 0.75 to 0.85).
const RIPPLE_AT_LINE: f64 = 0.8;
/// Ripple below which any electrolytic will do, amperes.
const LEAST_RIPPLE: f64 = 0.01;
/// Leakage that the balancing resistors of two electrolytics in series outweigh, amperes for each farad and volt
/// (common practice: ten times the leakage of the part; that of 0.01 CV from check EL007).
const BALANCE: f64 = 10.0 * 0.01;

impl Asked<'_, '_> {
    pub(super) fn rate_for_the_line(&self, own: &mut RightPart, row: &TodaysPart) {
        let need = 1.1 * self.burdens.line_volts;
        own.rating = at_least(&row.ratings, need).unwrap_or(need);
        own.why.push(format!(
            "it lies on the line: only a class-marked part may stand there, {} V a.c. or more",
            own.rating
        ));
        if row.kind == "class-y2" {
            let leak = std::f64::consts::TAU
                * self.model.sheet.line_hertz
                * own.value
                * self.burdens.line_volts;
            own.why.push(format!(
                "it passes {:.2} mA at {:.0} V when its live end is the hot one; what all such parts pass together to metal that is touched is held against the limit in the safety proof",
                1e3 * leak,
                self.burdens.line_volts
            ));
        }
    }

    /// What the part sees, in words, and the volts to go by.
    fn volts(&self, own: &mut RightPart, marked: Option<f64>) -> Option<f64> {
        let burden = self.burden();
        let seen = burden.volts.as_ref();
        if let Some(seen) = seen.filter(|seen| seen.value >= 0.5) {
            own.why.push(format!(
                "worst computed volts across it: {:.0} V, {}",
                seen.value,
                seen.case.words()
            ));
            if let Some(marked) = marked
                && seen.value > marked
            {
                own.why.push(format!(
                    "the maker's {marked:.0} V is less than that: the new one gets more"
                ));
            }
        }
        if let Some(unknown) = &burden.unknown {
            own.why
                .push(format!("not calculated whole: {}", unknown.words()));
        }
        seen.map(|own| own.value)
    }

    pub(super) fn rate_film(&self, own: &mut RightPart, row: &TodaysPart, marked: Option<f64>) {
        let seen = self.volts(own, marked).unwrap_or(0.0);
        let mut need = (FILM_MARGIN * seen).max(marked.unwrap_or(0.0));
        if self.is_pulsed() && row.kind == "polypropylene-film" {
            // Trade table, boost and sweep: 1000 to 1600 V polypropylene. An arc in the picture tube or a sweep out of
            // step puts more there than the settled set.
            need = need.max(1600.0);
            let known = match self.burden().unknown {
                Some(Unknown::Pulses) => "the pulses are not calculated",
                _ => "an arc or a sweep out of step is not calculated",
            };
            own.why.push(format!(
                "boost and sweep places want polypropylene of 1600 V (trade rule; {known})"
            ));
        }
        if marked.is_none() && seen == 0.0 {
            need = need.max(630.0);
            own.why.push(
                "neither a marking nor computed volts: 630 V covers most places (trade rule)"
                    .to_owned(),
            );
        }
        match at_least(&row.ratings, need) {
            Some(rating) => own.rating = rating,
            None => {
                let top = row.ratings.last().copied().unwrap_or(need);
                let count = (need / top).ceil().max(2.0);
                own.rating = top;
                own.pieces = Pieces::InSeries {
                    count: count as u32,
                    each: own.value * count,
                    balance: None,
                };
                own.why.push(format!(
                    "no single one of {need:.0} V is usual: {count:.0} in series of {} each",
                    bench(own.value * count, Unit::Farads)
                ));
            }
        }
    }

    pub(super) fn rate_electrolytic(
        &self,
        own: &mut RightPart,
        row: &TodaysPart,
        marked: Option<f64>,
    ) {
        let seen = self.volts(own, marked).unwrap_or(0.0);
        // The marked surge of the new one is not used up: what lasts seconds at switch-on comes every time.
        let running = self.burden().running_volts.unwrap_or(0.0) / ELECTROLYTIC_SHARE;
        let need = seen.max(running).max(marked.unwrap_or(0.0));
        let top = row.ratings.last().copied().unwrap_or(0.0);
        let rating = at_least(&row.ratings, need).or_else(|| {
            // The maker's marking may be beyond what is made; what counts is what it sees.
            at_least(&row.ratings, seen.max(running))
        });
        match rating {
            Some(rating) => {
                own.rating = rating;
                if rating < need {
                    own.why.push(format!(
                        "{} V are not made any more; {rating:.0} V cover what it sees",
                        marked.unwrap_or(need)
                    ));
                }
            }
            None => {
                let each = 2.0 * own.value;
                let half = 0.5 * seen / 0.95;
                own.rating = at_least(&row.ratings, half).unwrap_or(top);
                let balance = balance(self.today, each, own.rating, half);
                own.why.push(format!(
                    "{seen:.0} V are more than one part of today stands: two of {} and {:.0} V in series{}",
                    bench(each, Unit::Farads),
                    own.rating,
                    balance.as_ref().map_or(String::new(), |own| format!(
                        ", {} {} W across each, for {:.2} W of heat in it",
                        bench(own.ohms, Unit::Ohms),
                        own.watts,
                        half * half / own.ohms
                    ))
                ));
                own.pieces = Pieces::InSeries {
                    count: 2,
                    each,
                    balance,
                };
            }
        }
        if let Some(old) = marked
            && seen > old
            && seen <= SURGE_SHARE * old
        {
            own.why.push(format!(
                "the maker let it stand {seen:.0} V as a surge of {old:.0} V marked; that is once more too much for an old can"
            ));
        }
        self.rate_ripple(own);
    }

    fn rate_ripple(&self, own: &mut RightPart) {
        let Some(ripple) = self.burden().ripple_amperes.as_ref() else {
            return;
        };
        if ripple.value < LEAST_RIPPLE {
            return;
        }
        let at_line = self.ripple_hertz < 100.0;
        let needed = if at_line {
            ripple.value / RIPPLE_AT_LINE
        } else {
            ripple.value
        };
        own.ripple_needed = Some(needed);
        let (farads, rating) = match own.pieces {
            Pieces::InSeries { each, .. } => (each, own.rating),
            _ => (own.value, own.rating),
        };
        let usual = self.today.ripple_of(farads, rating);
        let so = match usual {
            Some(usual) if usual.low_amperes >= needed => {
                "; any usual one is marked for that".to_owned()
            }
            Some(usual) if usual.typical_amperes >= needed => format!(
                "; usual ones are marked {:.2} to {:.2} A ({}): read it on the maker's sheet before buying",
                usual.low_amperes, usual.typical_amperes, usual.standing
            ),
            Some(usual) => format!(
                "; usual ones are marked {:.2} to {:.2} A only ({}): take one made for ripple, or two side by side of half the value each",
                usual.low_amperes, usual.typical_amperes, usual.standing
            ),
            None => "; what usual ones are marked for is not known here".to_owned(),
        };
        let at = if at_line {
            format!(
                " at {:.0} cycles, which counts as {needed:.2} A at 120",
                self.ripple_hertz
            )
        } else {
            String::new()
        };
        own.why.push(format!(
            "alternating current through it: {:.2} A{at}{so}",
            ripple.value
        ));
    }

    /// Several in series where one does not stand the volts.
    pub(super) fn string_for_volts(&self, own: &mut RightPart) {
        let Some(volts) = self.burden().volts.as_ref() else {
            return;
        };
        let Some(stands) = self.today.volts_of_resistor(own.rating) else {
            return;
        };
        let stands = RESISTOR_VOLTS_SHARE * stands;
        if volts.value <= stands {
            return;
        }
        let count = (volts.value / stands).ceil();
        let each = own.value / count;
        let each = Series::E24.nearest(each).unwrap_or(each);
        own.factor *= each * count / own.value;
        own.value = each * count;
        own.pieces = Pieces::InSeries {
            count: count as u32,
            each,
            balance: None,
        };
        own.why.push(format!(
            "{:.0} V across it, {}: one stands some {:.0} V, so {count:.0} in series of {}",
            volts.value,
            volts.case.words(),
            stands / RESISTOR_VOLTS_SHARE,
            bench(each, Unit::Ohms)
        ));
    }
}

/// The resistor across each of two electrolytics of these farads and rated volts, at these volts: it outweighs their
/// leakage, and is used at half its watts and within its volts. `None` where no kind of today stands that.
fn balance(today: &TodaysParts, farads: f64, rated_volts: f64, volts: f64) -> Option<Balance> {
    let ohms = Series::E12.nearest(volts / (BALANCE * farads * rated_volts))?;
    let need = WATTS_MARGIN * volts * volts / ohms;
    ["metal-oxide", "wire-wound"].into_iter().find_map(|kind| {
        let row = today.kind(kind)?;
        let stands = |watts: f64| {
            let most = today.volts_of_resistor(watts);
            most.is_some_and(|most| volts <= RESISTOR_VOLTS_SHARE * most)
        };
        let mut made = row.ratings.iter().copied();
        let watts = made.find(|own| *own >= need * (1.0 - 1e-9) && stands(*own))?;
        (row.low..=row.high).contains(&ohms).then(|| Balance {
            ohms,
            watts,
            kind: row.kind.clone(),
            what: row.what.clone(),
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, closed form: 2 x 94 mfd rated 350 V leak 0.01 CV = 0.329 mA at most, ten times that at 300 V wants 91.2k,
    /// of E12 82k or 100k (82k is 0.90, 100k 1.10 of it: by ratio 100k is nearer); 300 squared over 100k is 0.9 W, twice
    /// that 1.8 W, so 2 W; at 2 W a metal-oxide stands 500 V by `data/resistor_volts.csv`.
    #[test]
    fn the_resistor_that_balances_two_is_chosen_by_its_heat_and_its_volts() {
        let today = parts::todays_parts().expect("sound figures");
        let own = balance(today, 94e-6, 350.0, 300.0).expect("made");
        assert_eq!((own.ohms, own.watts), (100e3, 2.0));
        assert_eq!(own.kind, "metal-oxide");
        // 940 mfd want a tenth of the ohms: 10k, 9 W, so 18 W and more: wire-wound of 25 W.
        let own = balance(today, 940e-6, 350.0, 300.0).expect("made");
        assert_eq!((own.ohms, own.watts), (10e3, 25.0));
        assert_eq!(own.kind, "wire-wound");
        // 1 mfd wants 8.6 meg: in that neither kind is made.
        assert_eq!(balance(today, 1e-6, 350.0, 300.0), None);
    }
}
