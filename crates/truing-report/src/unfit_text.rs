//! Why a meter is not fit for a reading, in one sentence that says what would be.

use truing_engine::Unfit;
use truing_model::{Extreme, MeterRange, SlotId, SlotKind};
use truing_units::Kind;

use crate::teller::{Scale, Teller};

impl Teller<'_> {
    pub(crate) fn unfit(&self, slot: SlotId, unfit: Unfit) -> String {
        let label = self.slot_label(slot);
        let meter = self.sheet.meter(slot);
        let name = meter.map_or("the meter", |meter| meter.meter.as_str());
        let Some(scale) = self.scale_of_slot(slot) else {
            return format!("{label}: {name} is not fit for it");
        };
        match unfit {
            Unfit::NoFunction => {
                format!("{label}: {name} does not measure {}", self.kind_words(slot))
            }
            Unfit::AboveRange { top } => format!(
                "{label}: {name} reaches up to {}, and cannot have shown more",
                scale.point(top)
            ),
            Unfit::NoSuchRange { stated } => format!(
                "{label}: {name} has no range of {}; it has {}",
                scale.point(stated),
                self.ranges(slot)
            ),
            Unfit::Digits { step, range_step, from } => {
                digits(label, name, &scale, step, range_step, from)
            }
            Unfit::Frequency { at, low, high } => {
                let (low, high) = (hertz(low), hertz(high));
                match at {
                    Some(at) => format!(
                        "{label}: the signal has {}, and {name} is good from {low} to {high}",
                        hertz(at)
                    ),
                    None => format!(
                        "{label}: {name} is good from {low} to {high}, and the frequency is not known"
                    ),
                }
            }
            Unfit::TestVoltage { test, needed } => format!(
                "{label}: {name} tests with {test} V, and the limit reaches to {needed} V: good \
                 parts can show OL"
            ),
            Unfit::NoCapture => {
                let which = match self.slot(slot).map(|slot| &slot.kind) {
                    Some(SlotKind::Quantity { capture: Some(Extreme::Max), .. }) => "greatest",
                    _ => "least",
                };
                format!("{label}: the {which} value has to be captured, and {name} holds none")
            }
            Unfit::NoAccuracy => {
                format!("{label}: no accuracy is stated for {name} on this range")
            }
        }
    }

    fn kind_words(&self, slot: SlotId) -> &str {
        let kind = match self.slot(slot).map(|slot| &slot.kind) {
            Some(SlotKind::Quantity { kind, .. }) => *kind,
            _ => Kind::RATIO,
        };
        &self.catalogue.kind(kind).words
    }

    /// The ranges that a reading's meter has: "600 mV, 6 V and 60 V".
    fn ranges(&self, slot: SlotId) -> String {
        let Some(SlotKind::Quantity { kind, .. }) = self.slot(slot).map(|slot| &slot.kind) else {
            return "none".to_owned();
        };
        let function = self.sheet.meter(slot).and_then(|meter| meter.instrument.function(*kind));
        let ranges: &[MeterRange] = function.map_or(&[], |function| &function.ranges);
        let mut names: Vec<String> = ranges.iter().map(|range| range.printed.to_string()).collect();
        names.dedup();
        crate::layout::listed(&names)
    }
}

fn digits(
    label: &str,
    name: &str,
    scale: &Scale,
    step: f64,
    range_step: f64,
    from: Option<f64>,
) -> String {
    let (step, shown) = (scale.amount(step), scale.amount(range_step));
    match from {
        Some(top) => format!(
            "{label}: it is written to {step}, and {name} shows steps of {shown} there: it must \
             have come from the range of {}",
            scale.point(top)
        ),
        None => format!(
            "{label}: it is written to {step}, and {name} shows no finer steps than {shown}"
        ),
    }
}

fn hertz(frequency: f64) -> String {
    format!(
        "{} Hz",
        truing_units::significant_text(frequency, 4).parse::<f64>().unwrap_or(frequency)
    )
}

/// Why an instrument is not fit, where no reading is at hand.
pub(crate) fn unfit_words(unfit: Unfit) -> String {
    match unfit {
        Unfit::NoFunction => "it does not measure this kind".to_owned(),
        Unfit::AboveRange { .. } => "none of its ranges reaches the limit".to_owned(),
        Unfit::NoSuchRange { .. } => "it has no such range".to_owned(),
        Unfit::Digits { .. } => "it does not show such digits there".to_owned(),
        Unfit::Frequency { at: Some(at), low, high } => format!(
            "the signal has {}, and it is good from {} to {}",
            hertz(at),
            hertz(low),
            hertz(high)
        ),
        Unfit::Frequency { at: None, low, high } => format!(
            "it is good from {} to {}, and the frequency is not known",
            hertz(low),
            hertz(high)
        ),
        Unfit::TestVoltage { test, needed } => {
            format!("it tests with {test} V, and the limit reaches to {needed} V")
        }
        Unfit::NoCapture => "it holds no least or greatest value".to_owned(),
        Unfit::NoAccuracy => "no accuracy is stated for it there".to_owned(),
    }
}
