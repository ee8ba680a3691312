//! What makes instruments sound: ranges that rise, figures that an instrument can have.

use crate::instrument::{
    ErrorTerms, Instrument, LimitOfError, MeterFunction, MeterRange, Technique,
};
use crate::measurement::Slot;
use crate::spec::{BrokenSpec, SpecParts};

use super::{Verdict, finite};

/// Every instrument, and the circuits that instruments load.
pub(super) fn instruments(spec: &SpecParts) -> Verdict {
    spec.instruments.iter().try_for_each(instrument)?;
    spec.slots.iter().try_for_each(circuit)
}

fn circuit(slot: &Slot) -> Verdict {
    let Some(circuit) = slot.circuit else { return Ok(()) };
    amounts(&[circuit.resistance, circuit.doubt], &slot.label)
}

fn instrument(of: &Instrument) -> Verdict {
    let by = &of.name;
    if let Some(valid) = of.valid {
        rising(valid.low, valid.high, by)?;
        amounts(&[valid.widens], by)?;
    }
    above_nought(of.calibration, by)?;
    for (place, function) in of.functions.iter().enumerate() {
        let before = of.functions.iter().take(place);
        if before.clone().any(|other| other.kind == function.kind) {
            return Err(broken(by));
        }
        self::function(function, by)?;
    }
    Ok(())
}

fn function(of: &MeterFunction, by: &str) -> Verdict {
    if let Some(leads) = of.leads {
        amounts(&[leads.value, leads.doubt], by)?;
    }
    if let Some(Technique::Amount(amount) | Technique::Reading(amount)) = of.technique {
        amounts(&[amount], by)?;
    }
    above_nought(of.test_voltage, by)?;
    above_nought(of.input, by)?;
    amounts(of.burden.as_slice(), by)?;
    of.ranges.iter().try_for_each(|line| range(line, by))?;
    for pair in of.ranges.windows(2) {
        if let [one, next] = pair
            && !follows(one, next)
        {
            return Err(broken(by));
        }
    }
    Ok(())
}

fn range(of: &MeterRange, by: &str) -> Verdict {
    rising(of.bottom, of.top, by)?;
    finite(of.nought, || by.to_owned())?;
    above_nought(of.step, by)?;
    if let Some((low, high)) = of.band {
        amounts(&[low, high], by)?;
        rising(low, high, by)?;
    }
    of.accuracy.iter().chain(&of.capture).try_for_each(|limit| limit_of_error(limit, by))
}

fn limit_of_error(of: &LimitOfError, by: &str) -> Verdict {
    if of.sums.is_empty() {
        return Err(broken(by));
    }
    of.sums.iter().try_for_each(|sum| {
        let ErrorTerms { reading, counts, span, absolute } = *sum;
        amounts(&[reading, counts, span, absolute], by)
    })
}

/// Whether a range may stand right behind another: higher, or for a higher band of frequencies.
/// The end that two bands share belongs to both, and the first of them counts there.
fn follows(one: &MeterRange, next: &MeterRange) -> bool {
    if one.top != next.top {
        return one.top < next.top;
    }
    matches!((one.band, next.band), (Some((_, high)), Some((low, _))) if high <= low)
}

/// Finite, and none below nought.
fn amounts(values: &[f64], by: &str) -> Verdict {
    for value in values {
        finite(*value, || by.to_owned())?;
        if *value < 0.0 {
            return Err(broken(by));
        }
    }
    Ok(())
}

fn above_nought(value: Option<f64>, by: &str) -> Verdict {
    let Some(value) = value else { return Ok(()) };
    finite(value, || by.to_owned())?;
    if value > 0.0 { Ok(()) } else { Err(broken(by)) }
}

fn rising(low: f64, high: f64, by: &str) -> Verdict {
    finite(low, || by.to_owned())?;
    finite(high, || by.to_owned())?;
    if low < high { Ok(()) } else { Err(broken(by)) }
}

fn broken(by: &str) -> BrokenSpec {
    BrokenSpec::Instrument { by: by.to_owned() }
}
