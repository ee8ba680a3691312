//! The bands of every check.

use truing_model::{Bands, CheckBand};
use truing_syntax::tree::Effect;

use super::Lowering;
use crate::body::LeakIr;

impl Lowering<'_, '_> {
    pub(super) fn bands(&mut self) {
        let said = self.cx.bodies.checks.borrow();
        let mut all = Vec::new();
        for (item, said) in self.cx.checks.iter().zip(said.iter()) {
            for member in 0..self.cx.size(item.family) {
                let place = item.first_check as usize + member;
                let Some(check) = self.parts.checks.get(place) else { continue };
                let mut bands = Bands::usual(&self.parts, &check.rule);
                if self.cx.is_library && bands.order.len() == 1 {
                    // What a library leaves open a spec may fill, on either side.
                    bands.order.extend([CheckBand::High, CheckBand::Low]);
                }
                bands.slip = said.slip;
                // Those that are named come last, in their order.
                for band in said.named.iter().map(|effect| band(*effect)) {
                    if let Some(place) = bands.place(band) {
                        bands.order.remove(place);
                        bands.order.push(band);
                    }
                }
                bands.leak = leak(&said.leak, &bands);
                all.push(bands);
            }
        }
        self.parts.bands = all;
    }
}

/// The leak of each band behind the first. What a spec's limit cannot show is left out, as effects
/// are.
fn leak(said: &LeakIr, bands: &Bands) -> Vec<f64> {
    let failing = bands.order.iter().skip(1);
    match said {
        LeakIr::Even(all) => Bands::even(*all, failing.len()),
        LeakIr::By(said) => failing
            .map(|of| said.iter().filter(|(word, _)| band(*word) == *of).map(|(_, p)| p).sum())
            .collect(),
    }
}

pub(super) const fn band(effect: Effect) -> CheckBand {
    match effect {
        Effect::Low => CheckBand::Low,
        Effect::High => CheckBand::High,
        Effect::Worn => CheckBand::Worn,
        Effect::Fail => CheckBand::Fail,
    }
}
