//! The examples of EA-4/02, JCGM 101 and EURACHEM.

use toml::Value;
use truing_metrology::uncertainty::budget::Line;
use truing_metrology::uncertainty::monte_carlo::{Input, Options, simulate};
use truing_metrology::uncertainty::{Component, ErrorSum};

use crate::entries::{Entry, hold, row};
use crate::gum::{combined, line};

fn rectangular(half_width: f64) -> Component {
    Component::rectangular(half_width).unwrap()
}

fn normal(u: f64) -> Component {
    Component::normal(u).unwrap()
}

fn u(lines: &[Line]) -> f64 {
    combined(lines).standard_uncertainty
}

fn sum(lines: &[Line]) -> ErrorSum {
    let mut sum = ErrorSum::new();
    lines.iter().for_each(|line| sum.push_scaled(line.component, line.sensitivity).unwrap());
    sum
}

/// Expanded uncertainty at 95 % from the distribution itself.
fn expanded(lines: &[Line]) -> f64 {
    let sum = sum(lines);
    sum.coverage_factor(0.95).unwrap() * sum.standard_uncertainty()
}

/// S9: a multimeter at 100 V.
fn multimeter(entry: &Entry) -> [Line; 3] {
    [
        line(normal(entry.input("u_V_S")), -1.0),
        line(rectangular(entry.input("resolution_halfwidth_V")), 1.0),
        line(rectangular(entry.input("calibrator_halfwidth_V")), -1.0),
    ]
}

/// S2: a 10 kg weight, in mg.
fn weight(entry: &Entry) -> Vec<Line> {
    let pooled = entry.input("pooled_s_mg") / entry.input("n").sqrt();
    vec![
        line(normal(entry.input("u_m_S_mg")), 1.0),
        line(rectangular(entry.input("drift_halfwidth_mg")), 1.0),
        line(normal(pooled), 1.0),
        line(rectangular(entry.input("eccentricity_halfwidth_mg")), 1.0),
        line(rectangular(entry.input("buoyancy_halfwidth_mg")), 1.0),
    ]
}

/// S3: a 10 kΩ resistor, in mΩ.
fn resistor(entry: &Entry) -> Vec<Line> {
    let milliohms = 1e3 * entry.input("R_S_ohm");
    let ratio = Component::triangular(entry.input("r_C_triangular_halfwidth")).unwrap();
    vec![
        line(normal(entry.input("u_R_S_mohm")), 1.0),
        line(rectangular(entry.input("drift_halfwidth_mohm")), 1.0),
        line(rectangular(entry.input("T_S_halfwidth_mohm")), 1.0),
        line(rectangular(entry.input("T_X_halfwidth_mohm")), 1.0),
        line(ratio, milliohms),
        line(normal(entry.input("u_ratio")), milliohms),
    ]
}

/// S10: a vernier caliper, in µm.
fn caliper(entry: &Entry) -> [Line; 4] {
    let per_kelvin = 1e3 * entry.input("l_S_mm") * entry.input("alpha_per_K");
    [
        line(rectangular(entry.input("l_S_halfwidth_um")), -1.0),
        line(rectangular(entry.input("dt_halfwidth_K")), per_kelvin),
        line(rectangular(entry.input("resolution_halfwidth_um")), 1.0),
        line(rectangular(entry.input("mechanical_halfwidth_um")), 1.0),
    ]
}

#[test]
fn calibrations() {
    hold("uncertainty.toml", &["uncertainty.ea402"], &[], |entry| {
        let block = |entry: &Entry| -> Vec<Line> {
            let contributions = entry.inputs("contributions_nm").into_iter();
            contributions.map(|u| line(normal(u), 1.0)).collect()
        };
        Some(Value::Float(match entry.id() {
            "unc.ea_s9.u" => u(&multimeter(entry)),
            "unc.ea_s9.components" => {
                return Some(row(&multimeter(entry).map(|line| line.contribution().abs())));
            }
            "unc.ea_s9.U" => {
                let lines = multimeter(entry);
                let largest = sum(&lines).dominant()?;
                assert!(largest.index == 1 && largest.share > 0.9, "{largest:?}");
                expanded(&lines)
            }
            "unc.ea_s4.l" => entry.input("l_S_mm") + entry.input("delta_l_mm"),
            "unc.ea_s4.u" => u(&block(entry)),
            "unc.ea_s4.U" => 2.0 * u(&block(entry)),
            "unc.ea_s2.m" => entry.input("m_S_g") + entry.input("dm_g"),
            "unc.ea_s2.u" => u(&weight(entry)),
            "unc.ea_s2.U" => 2.0 * u(&weight(entry)),
            "unc.ea_s3.R" => {
                (entry.input("R_S_ohm") + entry.input("drift_ohm")) * entry.input("ratio")
            }
            "unc.ea_s3.u" => u(&resistor(entry)),
            // µm there, mm here.
            "unc.ea_s10.U" => 1e-3 * expanded(&caliper(entry)),
            _ => return None,
        }))
    });
}

/// 9.3: a weight against a reference weight in air, as a deviation from 100 g in mg.
fn mass(arguments: &[f64]) -> f64 {
    let [reference, weights, air, density, reference_density] = arguments else { return f64::NAN };
    let buoyancy = (air - 1.2) * (density.recip() - reference_density.recip());
    (reference + weights) * (1.0 + buoyancy) - 100_000.0
}

#[test]
fn propagation_of_distributions() {
    hold("uncertainty.toml", &["uncertainty.monte_carlo"], &[], |entry| {
        Some(match entry.id() {
            "unc.jcgm101_924_guf" => {
                let lines: Vec<Line> =
                    entry.inputs("sigma").into_iter().map(|u| line(normal(u), 1.0)).collect();
                let combined = combined(&lines);
                Value::Float(combined.coverage_factor(0.95)? * combined.standard_uncertainty)
            }
            "unc.jcgm101_93" => {
                let input = |value: f64, component| Input { value, component };
                let between = |key: &str| {
                    let ends = entry.inputs(key);
                    input(0.5 * (ends[0] + ends[1]), rectangular(0.5 * (ends[1] - ends[0])))
                };
                assert_eq!(entry.input("rho_a0"), 1.2);
                let inputs = [
                    input(entry.input("m_Rc_mg"), normal(entry.input("u_m_Rc"))),
                    input(entry.input("dm_Rc_mg"), normal(entry.input("u_dm_Rc"))),
                    between("rho_a"),
                    between("rho_W"),
                    between("rho_R"),
                ];
                let options = Options { trials: 400_000, seed: 9, coverage: 0.95 };
                let simulation = simulate(&inputs, None, mass, &options).unwrap();
                let (low, high) = simulation.shortest;
                row(&[simulation.mean, simulation.standard_uncertainty, low, high])
            }
            _ if entry.has("distribution") => {
                let component = |sigma: f64| match entry.input_word("distribution") {
                    "normal" => normal(sigma),
                    _ => rectangular(3.0_f64.sqrt() * sigma),
                };
                let sigmas = entry.inputs("sigma").into_iter();
                let lines: Vec<Line> = sigmas.map(|sigma| line(component(sigma), 1.0)).collect();
                row(&[u(&lines), expanded(&lines)])
            }
            _ => return None,
        })
    });
}

#[test]
fn cadmium_standard() {
    hold("uncertainty.toml", &["uncertainty.other"], &[], |entry| {
        let (purity, mass) = (entry.input("purity"), entry.input("m_mg"));
        let volume = entry.input("V_mL");
        // mg/mL to mg/L.
        let concentration = 1e3 * purity * mass / volume;
        let of_volume = -concentration / volume;
        let flask = Component::triangular(entry.input("flask_triangular")).unwrap();
        let lines = [
            line(rectangular(entry.input("purity_halfwidth_uniform")), concentration / purity),
            line(normal(entry.input("u_m")), concentration / mass),
            line(flask, of_volume),
            line(normal(entry.input("filling_s")), of_volume),
            line(rectangular(entry.input("temp_halfwidth_uniform")), of_volume),
        ];
        Some(row(&[concentration, u(&lines)]))
    });
}
