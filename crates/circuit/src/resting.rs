//! Direct current at rest, and the cold resistance that an ohmmeter shows.
//!
//! Inside: volts, amperes, ohms. Capacitors are open but for their leakage, coils
//! are copper, alternating sources are silent, temperatures stay as given.
//! Fails when the rectifiers find no balance or a node is held by nothing.

use crate::cycle::{CycleModel, Samples};
use crate::element::{CONTACT_OHMS, Circuit, Element, Node};
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::record::CycleRecord;
use crate::rectify::Rectified;
use crate::stage::{Alpha, Stage};
use crate::state::SetState;

/// The circuit at rest with all heaters, lamps and loads at room temperature.
/// The record holds one sample: means are the values.
pub fn resting(circuit: &Circuit, ambient_kelvin: f64) -> Result<CycleRecord<'_>, CircuitError> {
    let model = CycleModel::new(circuit)?;
    let state = SetState::cold(&model, ambient_kelvin);
    let stage = Stage::new(circuit, &model.layout, Alpha::Resting)?;
    let folded = Folded::new(&model.layout, &stage, &state.siemens)?;
    let Folded { m, k, first, .. } = folded;
    let mut known = vec![0.0; first];
    known[m] = 1.0;
    let mut out = vec![0.0; folded.height];
    let mut volts = vec![0.0; k];
    let mut rectified = Rectified::new(k);
    folded.open(&known, &mut out);
    if k > 0 {
        rectified.find(
            &folded,
            &model.laws,
            &state.emission,
            &out[..k],
            &mut volts,
            0.0,
        )?;
        folded.add_rectified(&rectified.amperes, &mut out);
    }
    known.extend_from_slice(&rectified.amperes);
    let mut samples = Samples {
        columns: known,
        states: out[k..k + m].to_vec(),
        weights: vec![1.0],
        seconds: vec![0.0],
    };
    samples.complete(&folded);
    Ok(CycleRecord::at_rest(
        &model,
        &stage,
        samples,
        &state.emission,
        &state.siemens,
    ))
}

/// An ohmmeter: its open-circuit volts and its own resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OhmMeter {
    /// Volts at the open leads.
    pub open_volts: f64,
    /// Ohms in series.
    pub series_ohms: f64,
}

/// Resistance above which a place counts as open, ohms.
pub const OPEN_OHMS: f64 = 1e11;

/// What an ohmmeter shows with its + lead at `a` and its other lead at `b`, on a
/// circuit without other sources. Infinity where nothing joins them.
pub fn cold_ohms(
    circuit: &Circuit,
    a: Node,
    b: Node,
    meter: OhmMeter,
    ambient_kelvin: f64,
) -> Result<f64, CircuitError> {
    if a == b {
        return Ok(0.0);
    }
    let mut with_meter = circuit.clone();
    let source = with_meter.add(Element::Source {
        a,
        b,
        ohms: meter.series_ohms.max(CONTACT_OHMS),
        direct_volts: meter.open_volts,
        peak_volts: 0.0,
        phase: 0.0,
    });
    let record = resting(&with_meter, ambient_kelvin)?;
    let volts = record.volts(a, b).mean();
    let amperes = -record.amperes(source).mean();
    let ohms = volts / amperes;
    Ok(if (0.0..OPEN_OHMS).contains(&ohms) {
        ohms
    } else {
        f64::INFINITY
    })
}
