use toml::{Table, Value};
use truing_metrology::conformity::{
    Decision, GlobalRisk, GradedDecision, Limits, Prior, acceptance_limits, capability_index,
    conformance_probability, global_risk, guard_band, guard_factor, guarded_acceptance, non_binary,
    process_capability, relative_rejection_limit, rss_tolerance_factor, simple, tolerance_factor,
    tolerance_uncertainty_ratio,
};
use truing_metrology::uncertainty::coverage::normal_quantile;
use truing_metrology::uncertainty::{Component, ErrorSum};

use crate::entries::{Entry, hold, row};

fn sum(component: Component) -> ErrorSum {
    let mut sum = ErrorSum::new();
    sum.push(component);
    sum
}

fn normal(u: f64) -> ErrorSum {
    sum(Component::normal(u).unwrap())
}

fn limits(entry: &Entry) -> Limits {
    let low = entry.optional("T_L").or(entry.optional("L"));
    let high = entry.optional("T_U").or(entry.optional("U"));
    Limits::new(low, high).unwrap()
}

#[test]
fn specific_probabilities() {
    hold("conformity.toml", &["conformity.specific"], &[], |entry| {
        if entry.has("p_c") {
            return Some(Value::Float(guard_factor(entry.input("p_c"))?));
        }
        let error = normal(entry.input("u"));
        let conformance = conformance_probability(&error, entry.input("y"), limits(entry));
        Some(Value::Float(conformance.within))
    });
}

#[test]
fn guard_bands() {
    hold("conformity.toml", &["conformity.guard_band"], &[], |entry| {
        Some(Value::Float(match entry.id() {
            "conf.106.speed" => {
                let (limit, u, p) = (entry.input("T_U"), entry.input("u_rel"), entry.input("p"));
                relative_rejection_limit(limit, u, p)?.ceil()
            }
            "conf.iso14253.g" => guard_factor(entry.input("p"))?,
            "conf.tur.w_U" => tolerance_factor(entry.input("TUR"))?,
            _ if entry.has("TUR") => rss_tolerance_factor(entry.input("TUR"))?,
            _ if entry.has("w_over_U") => {
                // A limit at 0, u = 1, the result on the acceptance limit.
                let w = guard_band(entry.input("w_over_U"), entry.input("k"));
                let result = conformance_probability(&normal(1.0), -w, Limits::at_most(0.0));
                let percent = 100.0 * result.specific_consumer_risk();
                assert!(percent <= entry.input("published_bound_percent"));
                percent
            }
            _ => return None,
        }))
    });
}

#[test]
fn capability() {
    hold("conformity.toml", &["conformity.capability"], &[], |entry| {
        if entry.has("T") {
            let (tolerance, expanded) = (entry.input("T"), entry.input("U"));
            let index = capability_index(tolerance, 0.5 * expanded)?;
            assert_eq!(Some(index), tolerance_uncertainty_ratio(tolerance, expanded));
            return Some(Value::Float(index));
        }
        let (mean, sigma) = (entry.input("mean"), entry.input("sigma"));
        let process = process_capability(mean, sigma, limits(entry))?;
        Some(row(&[process.cpk, process.outside]))
    });
}

fn gamma(entry: &Entry) -> Option<Prior> {
    let shape = entry.optional("alpha")?;
    Some(Prior::Gamma { shape, rate: entry.input("lambda_per_um") })
}

fn bearing(entry: &Entry, acceptance: f64) -> GlobalRisk {
    let limit = Limits::at_most(entry.input("T_U_um"));
    let error = normal(entry.input("u_m_um"));
    global_risk(&gamma(entry).unwrap(), limit, Limits::at_most(acceptance), &error).unwrap()
}

#[test]
fn global_risks() {
    hold("conformity.toml", &["conformity.global"], &[], |entry| {
        Some(match entry.id() {
            "conf.106.bearing_RC0" => Value::Float(bearing(entry, entry.input("T_U_um")).consumer),
            "conf.106.bearing_RP0" => Value::Float(bearing(entry, entry.input("T_U_um")).producer),
            "conf.106.bearing_RP" => Value::Float(bearing(entry, entry.input("A_U_um")).producer),
            "conf.106.bearing_A" => {
                let limit = Limits::at_most(entry.input("T_U_um"));
                let error = normal(entry.input("u_m_um"));
                let limits =
                    acceptance_limits(&gamma(entry)?, limit, &error, entry.input("R_C")).unwrap();
                Value::Float(limits.high?)
            }
            "conf.106.resistor_prior" => {
                let limits = limits(entry);
                let process = process_capability(entry.input("y0"), entry.input("u0"), limits)?;
                Value::Float(1.0 - process.outside)
            }
            "conf.106.resistor_RC" => {
                let prior = Prior::Normal { mean: entry.input("y0"), deviation: entry.input("u0") };
                let error = normal(entry.input("u_m"));
                let risk = global_risk(&prior, limits(entry), limits(entry), &error).unwrap();
                row(&[risk.consumer, risk.producer])
            }
            "conf.deaver" => {
                let prior = Prior::Normal { mean: 0.0, deviation: entry.input("sigma_process") };
                let error = normal(entry.input("sigma_meas"));
                let risk = global_risk(&prior, limits(entry), limits(entry), &error).unwrap();
                row(&[risk.consumer, risk.producer])
            }
            _ if entry.has("itp") => {
                let deviation =
                    entry.input("T_U") / normal_quantile(0.5 + 0.5 * entry.input("itp"))?;
                let prior = Prior::Normal { mean: 0.0, deviation };
                let error = normal(deviation / entry.input("ratio"));
                let risk = global_risk(&prior, limits(entry), limits(entry), &error).unwrap();
                row(&[100.0 * risk.consumer, 100.0 * risk.consumer_among_accepted()])
            }
            _ => return None,
        })
    });
}

fn said(entry: &Entry) -> Option<Value> {
    let (value, u, limits) = (entry.input("y"), entry.input("u"), limits(entry));
    let mut words = Table::new();
    let conformance = conformance_probability(&normal(u), value, limits);
    words.insert("p_c".to_owned(), conformance.within.into());
    let simple = match simple(value, limits) {
        Decision::Pass => "pass",
        Decision::Fail => "fail",
        Decision::Undecided => "undecided",
    };
    words.insert("simple".to_owned(), simple.into());
    let band = guard_band(1.0, 2.0 * u);
    let guarded = if guarded_acceptance(value, limits, band) { "pass" } else { "not pass" };
    words.insert("guarded_accept".to_owned(), guarded.into());
    let graded = match non_binary(value, limits, band)? {
        GradedDecision::Pass => "pass",
        GradedDecision::ConditionalPass => "conditional pass",
        GradedDecision::ConditionalFail => "conditional fail",
        GradedDecision::Fail => "fail",
    };
    words.insert("non_binary".to_owned(), graded.into());
    Some(words.into())
}

#[test]
fn cases() {
    hold("conformity.toml", &["conformity.cases"], &[], |entry| match entry.optional("nu") {
        None => said(entry),
        Some(dof) => {
            let error = sum(Component::student(entry.input("u"), dof).unwrap());
            let conformance = conformance_probability(&error, entry.input("y"), limits(entry));
            Some(Value::Float(conformance.within))
        }
    });
}
