//! The file as it is written. Unknown tables and fields are refused, so that none goes unread.

use std::collections::BTreeMap;

use serde::Deserialize;

pub fn file() -> File {
    read(concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/diagnosis.toml").as_ref())
}

pub fn read(path: &std::path::Path) -> File {
    toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

pub type ByName = BTreeMap<String, f64>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct File {
    pub posterior: Vec<Posterior>,
    pub bands_network: Vec<BandsNetwork>,
    pub bands_posterior: Vec<BandsPosterior>,
    pub next_test: Vec<NextTest>,
    pub applicability: Vec<Applicability>,
    pub after_repair: Vec<AfterRepair>,
    pub strategy: Vec<Strategy>,
    pub testability: Vec<Testability>,
    pub hitting_sets: Vec<HittingSets>,
    pub polybox: Vec<Polybox>,
    pub repair_order: Vec<RepairOrder>,
    pub likelihood: Vec<LikelihoodCase>,
    pub weight_of_evidence: Vec<WeightOfEvidence>,
    pub update_prior: Vec<UpdatePrior>,
    pub update_check: Vec<UpdateCheck>,
    pub noisy_or: Vec<NoisyOr>,
    pub noisy_max: Vec<NoisyMax>,
    pub general_bn: Vec<GeneralBn>,
    pub reject: Vec<Reject>,
}

macro_rules! cases {
    ($($(#[$meta:meta])* $name:ident { $($field:ident: $kind:ty),* $(,)? })*) => {
        $(
            $(#[$meta])*
            #[derive(Deserialize, Clone)]
            #[serde(deny_unknown_fields)]
            #[allow(dead_code, reason = "where a figure comes from is read by people")]
            pub struct $name {
                pub id: String,
                #[serde(default)]
                pub provenance: Option<String>,
                #[serde(default)]
                pub source: Option<String>,
                #[serde(default)]
                pub note: Option<String>,
                $(pub $field: $kind,)*
            }
        )*
    };
}

#[derive(Deserialize, Clone)]
#[serde(deny_unknown_fields)]
pub struct Given {
    pub check: String,
    pub likelihood: Vec<f64>,
}

#[derive(Deserialize, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "lowercase")]
pub enum Model {
    Single,
    Upto2,
    Independent,
}

#[derive(Deserialize, Clone)]
#[serde(deny_unknown_fields)]
pub struct CandidateCase {
    pub first: String,
    pub chain: Vec<String>,
    pub gain_bits: f64,
    pub minutes: f64,
    pub bits_per_minute: f64,
}

cases! {
    Posterior {
        model: Model,
        none_allowed: bool,
        other_weight: Option<f64>,
        faults: Vec<String>,
        prior: Vec<f64>,
        checks: Vec<String>,
        leak: Vec<f64>,
        slip: Vec<f64>,
        fail: Vec<Vec<f64>>,
        evidence: Vec<Given>,
        expect_posterior: Option<ByName>,
        expect_fault_marginal: Option<Vec<f64>>,
        expect_number_of_faults: Option<[f64; 3]>,
        expect_top_hypotheses: Option<ByName>,
        expect_log_evidence: Option<f64>,
        tolerance: f64,
    }
    BandsNetwork {
        none_weight: f64,
        other_weight: f64,
        faults: Vec<String>,
        prior: Vec<f64>,
        part: Vec<String>,
        repair_minutes: ByName,
        verify_minutes: f64,
        escalate_minutes: f64,
        check: Vec<BandsCheck>,
    }
    BandsPosterior {
        network: String,
        model: Model,
        evidence: Vec<Given>,
        expect_posterior: Option<ByName>,
        expect_part: Option<ByName>,
        expect_gain_bits: Option<ByName>,
        expect_fault_marginal: Option<Vec<f64>>,
        expect_top_hypotheses: Option<ByName>,
        expect_pair_mass: Option<f64>,
        expect_log_evidence: f64,
        tolerance: f64,
    }
    NextTest {
        network: String,
        model: Model,
        observed: BTreeMap<String, String>,
        opened: Vec<String>,
        expect_candidates: Vec<CandidateCase>,
        expect_best_one_step: String,
        expect_best_two_step: String,
        expect_ecr_minutes: f64,
        expect_repair_order: Vec<String>,
        expect_not_applicable: Vec<String>,
        expect_best_voi_minutes: f64,
        tolerance: f64,
    }
    Applicability {
        network: String,
        model: Model,
        evidence: Vec<Given>,
        expect_ignored: Vec<String>,
        expect_posterior: ByName,
        tolerance: f64,
    }
    AfterRepair {
        network: String,
        model: Model,
        evidence: Vec<Given>,
        replaced: String,
        repair_success: f64,
        expect_none_before: f64,
        expect_none_after_repair: f64,
        retest_pass: Vec<String>,
        expect_none_after_retest: f64,
        expect_proven_at_095: bool,
        tolerance: f64,
    }
    Strategy {
        prior: Vec<f64>,
        signature: Vec<Vec<usize>>,
        costs: Vec<f64>,
        group: Option<Vec<usize>>,
        expect_optimal_cost: f64,
        expect_tests_of_that_strategy: Option<f64>,
        expect_first_check: Option<usize>,
        expect_greedy_one_step: Option<f64>,
        fully_isolable: Option<bool>,
        expect_entropy_bits: Option<f64>,
        expect_huffman: Option<f64>,
        expect_cost_lower_bound: Option<f64>,
        expect_gain_bits: Option<Vec<f64>>,
        expect_best_gain_checks: Option<Vec<usize>>,
        tolerance: f64,
    }
    Testability {
        prior: Vec<f64>,
        signature: Vec<Vec<usize>>,
        nofault: Vec<usize>,
        part: Vec<String>,
        expect_ffd: f64,
        expect_ffd_unweighted: f64,
        expect_ambiguity_groups: Vec<Vec<usize>>,
        expect_ffi_size1: f64,
        expect_ffi_size2: f64,
        expect_ffi_part: f64,
        expect_ffi_size1_unweighted: f64,
        expect_mean_group_size: f64,
        expect_undetected: Vec<usize>,
        expect_redundant_checks: Vec<usize>,
        expect_useless_checks: Vec<usize>,
        expect_hides: Vec<[usize; 2]>,
        expect_false_removals: f64,
        tolerance: f64,
    }
    HittingSets {
        conflicts: Vec<Vec<String>>,
        expect: Vec<Vec<String>>,
    }
    Polybox {
        components: Vec<String>,
        prior: Vec<f64>,
        minimal_conflicts: Vec<Vec<String>>,
        expect_minimal_diagnoses: Vec<Vec<String>>,
        expect_marginal: ByName,
        expect_top: ByName,
        rule: String,
        tolerance: f64,
    }
    RepairOrder {
        probability: Vec<f64>,
        cost: Vec<f64>,
        expect_order: Vec<usize>,
        expect_ecr: f64,
        expect_ecr_given_order: f64,
        tolerance: f64,
    }
    LikelihoodCase {
        reading: f64,
        standard_uncertainty: f64,
        edges: Vec<f64>,
        interval_band: Vec<usize>,
        bands: Vec<String>,
        expect: Vec<f64>,
        tolerance: f64,
    }
    WeightOfEvidence {
        network: String,
        model: Model,
        evidence: Vec<Given>,
        best: String,
        rival: String,
        expect_prior_db: f64,
        expect_db: ByName,
        expect_total_db: f64,
        tolerance: f64,
    }
    UpdatePrior {
        author_share: Vec<f64>,
        equivalent_jobs: f64,
        confirmed: Vec<f64>,
        expect_share: Vec<f64>,
        tolerance: f64,
    }
    UpdateCheck {
        author_fail_probability: f64,
        equivalent_jobs: f64,
        failed: f64,
        passed: f64,
        expect_mean: f64,
        expect_sd: f64,
        tolerance: f64,
    }
    NoisyOr {
        push: Vec<f64>,
        leak: f64,
        present: Vec<u8>,
        expect_fail: f64,
        tolerance: f64,
    }
    NoisyMax {
        leak: Vec<f64>,
        push: Vec<Vec<f64>>,
        expect: Vec<f64>,
        tolerance: f64,
    }
    GeneralBn {
        network: String,
        evidence: BTreeMap<String, [f64; 2]>,
        expect_yes: ByName,
        tolerance: f64,
    }
    Reject {
        expect: String,
        why: String,
        faults: Vec<String>,
        prior: Vec<f64>,
        checks: Vec<String>,
        leak: Vec<f64>,
        slip: Vec<f64>,
        fail: Vec<Vec<f64>>,
        evidence: Vec<Given>,
    }
    BandsCheck {
        bands: Vec<String>,
        minutes: f64,
        slip: f64,
        state: String,
        setup: Option<ByName>,
        waive: Option<BTreeMap<String, BTreeMap<String, Vec<String>>>>,
        requires: Option<BTreeMap<String, Vec<String>>>,
        leak: Vec<f64>,
        push: BTreeMap<String, Vec<f64>>,
    }
}

/// Fails with the place where two figures differ.
pub fn near(got: f64, expected: f64, tolerance: f64, place: &str) {
    assert!((got - expected).abs() <= tolerance, "{place}: {got} is not {expected}");
}

/// Where a name stands in a list.
pub fn at(names: &[String], name: &str) -> usize {
    names.iter().position(|n| n == name).unwrap_or_else(|| panic!("no `{name}`"))
}
