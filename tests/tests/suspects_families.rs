//! A family that counts as one, against every way in which its members can lie: generated specs,
//! compiled from their texts.
//!
//! All figures are drawn.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::fmt::Write as _;

use proptest::prelude::*;
use truing::{Compiled, SuspectRound};
use truing_engine::suspects::{Complaint, Ranking};

/// In order up to the upper end (two bands), or between the two.
#[derive(Clone, Debug)]
struct Made {
    two_sided: bool,
    /// In hundredths: the ends.
    ends: (i32, i32),
    leak: f64,
    slip: f64,
    other: f64,
    /// Odds, and the chances of high and low.
    faults: Vec<(f64, f64, f64)>,
    /// Of each member: the value in hundredths, and whether it is read to hundredths, tenths or whole
    /// volts; nothing where it was not read.
    members: Vec<Option<(i32, usize)>>,
}

fn made() -> impl Strategy<Value = Made> {
    let fault = (0.01..0.5_f64, 0.0..0.38_f64, 0.0..0.38_f64);
    let member = proptest::option::weighted(0.8, (900..1100_i32, 0..3_usize));
    (
        any::<bool>(),
        (940..1000_i32, 1000..1060_i32),
        0.001..0.1_f64,
        prop_oneof![1 => Just(0.0), 3 => 0.001..0.1_f64],
        prop_oneof![1 => Just(0.0), 1 => 0.001..0.1_f64],
        proptest::collection::vec(fault, 1..=3),
        proptest::collection::vec(member, 2..=4),
    )
        .prop_map(|(two_sided, ends, leak, slip, other, faults, members)| Made {
            two_sided,
            ends,
            leak,
            slip,
            other,
            // Always above what the check does by itself.
            faults: faults.into_iter().map(|(o, h, l)| (o, h + 0.11, l + 0.11)).collect(),
            members,
        })
}

/// The step of the last digit, in hundredths of a volt.
const STEPS: [i32; 3] = [1, 10, 100];

impl Made {
    /// A value to its last digit.
    fn shown(value: i32, digits: usize) -> i32 {
        let step = STEPS[digits];
        (value + step / 2) / step * step
    }

    fn name(at: usize) -> String {
        format!("m{at}")
    }

    fn spec(&self, turned: bool) -> Compiled {
        let mut names: Vec<String> = (0..self.members.len()).map(Self::name).collect();
        if turned {
            names.reverse();
        }
        let volts = |hundredths: i32| format!("{}.{:02}", hundredths / 100, hundredths % 100);
        let limit = match self.two_sided {
            true => format!("{} .. {} V", volts(self.ends.0), volts(self.ends.1)),
            false => format!("max {} V", volts(self.ends.1)),
        };
        let mut text = format!(
            "spec made \"Made (invented)\" {{ edition \"1\" odds other {} of 1 }}\nfamily side = {}\n\
             reading r[side] \"R {{side}}\" : dc_voltage\n\
             check c[side] \"C {{side}}\" : r[side] within {limit} {{ leak {}  slip {} }}\n",
            self.other,
            names.join(", "),
            self.leak,
            self.slip
        );
        for (at, (odds, high, low)) in self.faults.iter().enumerate() {
            write!(text, "fault f{at} \"F\" {{ odds {odds} of 1  makes c high {high}").unwrap();
            let low = if self.two_sided { format!("  makes c low {low}") } else { String::new() };
            writeln!(text, "{low} }}").unwrap();
        }
        Compiled::from_text("made.truing", &text).unwrap_or_else(|e| panic!("{e:?}\n{text}"))
    }

    fn ranking(&self, turned: bool) -> Ranking {
        let spec = self.spec(turned);
        let mut sheet = spec.sheet();
        for (at, member) in self.members.iter().enumerate() {
            let Some((value, digits)) = *member else { continue };
            let shown = Self::shown(value, digits);
            let text = match digits {
                0 => format!("{}.{:02} V", shown / 100, shown % 100),
                1 => format!("{}.{} V", shown / 100, shown % 100 / 10),
                _ => format!("{} V", shown / 100),
            };
            sheet = sheet.read(&format!("r[{}]", Self::name(at)), &text).unwrap();
        }
        let sheet = sheet.build();
        let round = SuspectRound { sheet: &sheet, fitted: &[] };
        spec.suspects(&[round], Complaint::None).unwrap().pop().unwrap().ranking.unwrap()
    }

    /// What a member's reading says of its bands: any value within half its last step is as likely as
    /// any other. Of one that was not read, nothing.
    fn says(&self, member: Option<(i32, usize)>) -> Vec<f64> {
        let bands = if self.two_sided { 3 } else { 2 };
        let Some((value, digits)) = member else { return vec![1.0 / f64::from(bands); 3] };
        let half = f64::from(STEPS[digits]) / 2.0;
        let middle = f64::from(Self::shown(value, digits));
        let below = |end: i32| ((f64::from(end) - (middle - half)) / (2.0 * half)).clamp(0.0, 1.0);
        let low = if self.two_sided { below(self.ends.0) } else { 0.0 };
        let high = 1.0 - below(self.ends.1);
        let all = vec![1.0 - low - high, high, low];
        if self.two_sided { all } else { vec![all[0], all[1], 0.0] }
    }

    /// What the leak and a fault, each drawing its band, make together: the later shows.
    fn under(&self, fault: Option<(f64, f64, f64)>) -> Vec<f64> {
        let leak = match self.two_sided {
            true => vec![1.0 - self.leak, self.leak / 2.0, self.leak / 2.0],
            false => vec![1.0 - self.leak, self.leak, 0.0],
        };
        let Some((_, high, low)) = fault else { return leak };
        let low = if self.two_sided { low } else { 0.0 };
        // 1 - S = (1 - leak) (1 - push)
        let push = 1.0 - (1.0 - high - low) / (1.0 - self.leak);
        let own = [1.0 - push, push * high / (high + low), push * low / (high + low)];
        let mut out = vec![0.0; 3];
        for (one, p) in leak.iter().enumerate() {
            for (other, q) in own.iter().enumerate() {
                out[one.max(other)] += p * q;
            }
        }
        out
    }

    /// The chances of no fault, each fault and "not listed", by every way in which the members lie.
    fn by_every_way(&self) -> Vec<f64> {
        let bands: usize = if self.two_sided { 3 } else { 2 };
        let says: Vec<Vec<f64>> = self.members.iter().map(|member| self.says(*member)).collect();
        let (mut sums, mut ways) = (vec![0.0; bands], vec![0.0; bands]);
        for way in 0..bands.pow(says.len() as u32) {
            let (mut rest, mut latest, mut product) = (way, 0, 1.0);
            for member in &says {
                latest = latest.max(rest % bands);
                product *= member[rest % bands];
                rest /= bands;
            }
            sums[latest] += product;
            ways[latest] += 1.0;
        }
        let given: Vec<f64> = sums.iter().zip(&ways).map(|(sum, ways)| sum / ways).collect();
        let mean = given.iter().sum::<f64>() / bands as f64;
        let likelihood = |under: &[f64]| {
            let right: f64 = given.iter().zip(under).map(|(l, p)| l * p).sum();
            (1.0 - self.slip) * right + self.slip * mean
        };
        let mut weights = vec![likelihood(&self.under(None))];
        for fault in &self.faults {
            let odds = fault.0 / (1.0 - fault.0);
            weights.push(odds * likelihood(&self.under(Some(*fault))));
        }
        weights.push(self.other * mean);
        let all: f64 = weights.iter().sum();
        weights.iter().map(|weight| weight / all).collect()
    }
}

fn listed(ranking: &Ranking) -> Vec<f64> {
    let mut faults = ranking.faults.clone();
    faults.sort_by_key(|of| of.fault);
    let faults = faults.iter().map(|of| of.probability);
    [ranking.none].into_iter().chain(faults).chain([ranking.other]).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_family_is_weighed_as_by_every_way(made in made()) {
        let (ranking, turned) = (made.ranking(false), made.ranking(true));
        let found = listed(&ranking);
        for (found, wanted) in found.iter().zip(made.by_every_way()) {
            prop_assert!((found - wanted).abs() < 1e-10, "{found} {wanted}");
        }
        for (one, other) in found.iter().zip(listed(&turned)) {
            prop_assert!((one - other).abs() < 1e-12, "the order of members: {one} {other}");
        }
        if let Some(weighing) = &ranking.weighing {
            let sum: f64 = weighing.contributions.iter().map(|of| of.decibans).sum();
            let odds = weighing.leader_probability / weighing.rival_probability;
            prop_assert!(weighing.contributions.len() <= 1, "one term for the family");
            prop_assert!((sum + weighing.prior_decibans - 10.0 * odds.log10()).abs() < 1e-9);
        }
    }
}
