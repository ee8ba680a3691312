//! Means and spreads, against NIST StRD among others.

use toml::Value;
use truing_metrology::statistics::{
    Summary, lag_one_autocorrelation, pooled_deviation, weighted_mean,
};
use truing_metrology::uncertainty::coverage::student_coverage_factor;

use crate::entries::{Entry, hold, named, row};

/// The first decimal digits of π, 3 among them (Rabinowitz and Wagon, 1995).
fn digits_of_pi(count: usize) -> Vec<u8> {
    let length = count * 10 / 3 + 16;
    let mut remainders = vec![2_u32; length];
    let mut digits: Vec<u8> = Vec::new();
    let mut held = Vec::new();
    while digits.len() < count {
        let mut carry = 0;
        for (place, remainder) in remainders.iter_mut().enumerate().rev() {
            let value = *remainder * 10 + carry;
            let (divisor, factor) =
                if place == 0 { (10, 0) } else { (2 * place as u32 + 1, place as u32) };
            *remainder = value % divisor;
            carry = if place == 0 { value / divisor } else { value / divisor * factor };
        }
        match carry {
            9 => held.push(9),
            10 => {
                if let Some(last) = digits.last_mut() {
                    *last += 1;
                }
                digits.extend(held.drain(..).map(|_| 0));
                digits.push(0);
            }
            digit => {
                digits.append(&mut held);
                digits.push(digit as u8);
            }
        }
    }
    digits.truncate(count);
    digits
}

fn data(entry: &Entry) -> Vec<f64> {
    if entry.has("data") {
        return entry.inputs("data");
    }
    if entry.has("pair") {
        let pair = entry.inputs("pair");
        let mut data = vec![entry.input("first")];
        (0..entry.input("pairs") as usize).for_each(|_| data.extend(&pair));
        return data;
    }
    // The spigot gives a leading zero where it holds back; the data set has one digit wrong.
    let count = entry.input("n") as usize;
    let digits = digits_of_pi(count + 1);
    let start = digits.iter().position(|digit| *digit == 3).unwrap();
    let mut data: Vec<f64> = digits[start..].iter().take(count).map(|d| f64::from(*d)).collect();
    assert_eq!(data[956], 8.0);
    data[956] = 3.0;
    data
}

#[test]
fn spreads() {
    let unmet = [(
        "stat.nist.Michelso",
        "the lag-1 coefficient of the data as doubles is 0.5351996686212636 (exact rational arithmetic, \
         python 3.11 fractions): 3.7e-14 from that of the decimals, where 2e-14 is asked",
    )];
    hold("interpolation-statistics.toml", &["statistics."], &unmet, |entry| {
        Some(match entry.id() {
            "stat.mean_u" => {
                let summary = Summary::of(&entry.inputs("data"))?;
                let u = summary.uncertainty_of_mean()?;
                let factor = student_coverage_factor(0.95, summary.dof() as f64)?;
                row(&[summary.mean, summary.deviation?, u, factor * u])
            }
            "stat.weighted_mean" => {
                let values: Vec<(f64, f64)> =
                    entry.inputs("values").into_iter().zip(entry.inputs("u")).collect();
                let mean = weighted_mean(&values)?;
                row(&[mean.mean, mean.standard_uncertainty])
            }
            "stat.pooled" => {
                let counts = entry.inputs("n").into_iter().map(|count| count as usize);
                let series: Vec<(f64, usize)> = entry.inputs("s").into_iter().zip(counts).collect();
                Value::Float(pooled_deviation(&series)?.0)
            }
            _ => {
                let data = data(entry);
                let summary = Summary::of(&data)?;
                let lag = lag_one_autocorrelation(&data)?;
                if entry.id() == "stat.nist.Michelso" {
                    assert!((lag - 0.535_199_668_621_263_6).abs() < 2e-15);
                    assert!((summary.mean - 299.8524).abs() < 1e-13);
                    assert!((summary.deviation? - 0.079_010_547_819_051_8).abs() < 2e-15);
                }
                named([("lag1", lag), ("mean", summary.mean), ("sd", summary.deviation?)])
            }
        })
    });
}
