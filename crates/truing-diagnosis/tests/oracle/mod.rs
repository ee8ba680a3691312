//! Second opinions, written apart from the engine: plain enumeration without logarithms, and
//! Quickscore (Heckerman 1989) for any number of faults.

/// A network of the plainest kind; distributions over all bands, band 0 first.
#[derive(Clone, Debug)]
pub struct Net {
    pub odds: Vec<f64>,
    pub none: f64,
    pub other: f64,
    /// The most faults at once.
    pub most: u32,
    pub checks: Vec<NetCheck>,
}

#[derive(Clone, Debug)]
pub struct NetCheck {
    pub leak: Vec<f64>,
    pub slip: f64,
    /// By fault.
    pub push: Vec<Vec<f64>>,
}

/// Every subset of the faults with its probability, then "other".
pub struct Truth {
    pub subsets: Vec<(u32, f64)>,
    pub other: f64,
    pub log_evidence: f64,
}

impl Net {
    /// The chance of each band when the faults in `set` are there: every way in which the leak and
    /// the faults may each choose a band, the latest band winning.
    pub fn bands(&self, check: &NetCheck, set: u32) -> Vec<f64> {
        let mut out = vec![0.0; check.leak.len()];
        let mut causes = vec![&check.leak];
        causes.extend((0..self.odds.len()).filter(|f| set >> f & 1 == 1).map(|f| &check.push[f]));
        fn choose(causes: &[&Vec<f64>], chance: f64, latest: usize, out: &mut [f64]) {
            let Some((cause, rest)) = causes.split_first() else {
                out[latest] += chance;
                return;
            };
            for (k, p) in cause.iter().enumerate().filter(|(_, p)| **p > 0.0) {
                choose(rest, chance * p, latest.max(k), out);
            }
        }
        choose(&causes, 1.0, 0, &mut out);
        out
    }

    pub fn slipped(weights: &[f64], slip: f64) -> Vec<f64> {
        let sum: f64 = weights.iter().sum();
        weights.iter().map(|w| (1.0 - slip) * w + slip * sum / weights.len() as f64).collect()
    }

    /// Brute force; `None` where everything is impossible.
    pub fn truth(&self, evidence: &[(usize, Vec<f64>)]) -> Option<Truth> {
        let n = self.odds.len();
        assert!(n <= 12, "brute force stops at 12 faults");
        let factor = |set: u32| -> f64 {
            let one = |(c, weights): &(usize, Vec<f64>)| -> f64 {
                let check = &self.checks[*c];
                let weights = Self::slipped(weights, check.slip);
                weights.iter().zip(self.bands(check, set)).map(|(w, p)| w * p).sum()
            };
            evidence.iter().map(one).product()
        };
        let weight = |set: u32| -> f64 {
            if set == 0 {
                return self.none;
            }
            (0..n).filter(|f| set >> f & 1 == 1).map(|f| self.odds[f]).product()
        };
        let sets = || (0..1_u32 << n).filter(|set| set.count_ones() <= self.most);
        let mut subsets: Vec<(u32, f64)> = sets().map(|s| (s, weight(s) * factor(s))).collect();
        let even = |(c, weights): &(usize, Vec<f64>)| -> f64 {
            let check = &self.checks[*c];
            let sum: f64 = Self::slipped(weights, check.slip).iter().sum();
            sum / check.leak.len() as f64
        };
        let mut other = self.other * evidence.iter().map(even).product::<f64>();
        let prior: f64 = sets().map(weight).sum::<f64>() + self.other;
        let sum: f64 = subsets.iter().map(|(_, p)| p).sum::<f64>() + other;
        subsets.iter_mut().for_each(|(_, p)| *p /= sum);
        other /= sum;
        (sum > 0.0).then(|| Truth { subsets, other, log_evidence: (sum / prior).ln() })
    }

    /// Quickscore with soft evidence: the readings' probability when any number of faults may be
    /// there, with `only` one of them forced to be. Two bands; none weight 1, no "other".
    #[allow(dead_code, reason = "the property tests have no use for it")]
    pub fn quickscore(&self, evidence: &[(usize, Vec<f64>)], forced: Option<usize>) -> f64 {
        let mut sum = 0.0;
        for terms in 0..1_u32 << evidence.len() {
            let mut product = 1.0;
            let mut pass = vec![1.0; self.odds.len()];
            for (i, (c, weights)) in evidence.iter().enumerate() {
                let check = &self.checks[*c];
                let w = Self::slipped(weights, check.slip);
                if terms >> i & 1 == 0 {
                    product *= w[1];
                    continue;
                }
                product *= (w[0] - w[1]) * check.leak[0];
                pass.iter_mut().zip(&check.push).for_each(|(p, push)| *p *= push[0]);
            }
            for (f, (odds, pass)) in self.odds.iter().zip(&pass).enumerate() {
                let p = odds / (1.0 + odds);
                let absent = if forced == Some(f) { 0.0 } else { 1.0 - p };
                product *= absent + p * pass;
            }
            sum += product;
        }
        sum
    }
}

impl Truth {
    #[allow(dead_code, reason = "not every test wants it")]
    pub fn marginal(&self, fault: usize) -> f64 {
        self.subsets.iter().filter(|(set, _)| set >> fault & 1 == 1).map(|(_, p)| p).sum()
    }
}
