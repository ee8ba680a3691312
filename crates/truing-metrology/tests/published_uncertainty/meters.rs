use toml::Value;
use truing_metrology::uncertainty::meter::{
    Accuracy, Waveform, burden_voltage, difference, loading_factor, resolution, smallest_range,
    step_of_range, widened_by_temperature,
};
use truing_metrology::uncertainty::{Component, ErrorSum};

use crate::entries::{Entry, hold, named};

fn limit_of_error(entry: &Entry) -> f64 {
    let accuracy = Accuracy {
        percent_of_reading: entry.input("percent"),
        counts: entry.input("counts"),
        ..Accuracy::default()
    };
    accuracy.limit_of_error(entry.input("reading"), entry.input("resolution"), 0.0)
}

#[test]
fn accuracies() {
    hold("meter.toml", &["meter.accuracy"], &[], |entry| {
        if entry.id() == "meter.diff" {
            let (readings, percent) = (entry.inputs("readings"), entry.input("percent"));
            let step = entry.input("resolution");
            let error = difference(readings[0], readings[1], percent, step).unwrap();
            return Some(Value::Float(error.standard_uncertainty()));
        }
        let a = limit_of_error(entry);
        if entry.has("T_degC") {
            let band = entry.inputs("band");
            let factor = entry.input("factor_per_K");
            let temperature = entry.input("T_degC");
            let widened = widened_by_temperature(a, temperature, (band[0], band[1]), factor);
            return Some(Value::Float(widened));
        }
        if entry.id().starts_with("meter.spec.") {
            return Some(Value::Float(a));
        }
        let accuracy = Component::rectangular(a).unwrap();
        let display = resolution(entry.input("resolution")).unwrap();
        let mut sum = ErrorSum::new();
        sum.push(accuracy);
        sum.push(display);
        Some(named([
            ("a", a),
            ("u_spec", accuracy.standard_uncertainty()),
            ("u_resolution", display.standard_uncertainty()),
            ("u_rss", sum.standard_uncertainty()),
            ("U_k2", 2.0 * sum.standard_uncertainty()),
        ]))
    });
}

#[test]
fn ranges() {
    hold("meter.toml", &["meter.resolution"], &[], |entry| {
        let counts = entry.input("counts") as u32;
        let range = match entry.optional("range_V") {
            Some(range) => range,
            None => smallest_range(entry.input("value_V"), &entry.inputs("ranges_V"))?,
        };
        Some(Value::Float(step_of_range(range, counts)?))
    });
}

#[test]
fn leads() {
    hold("meter.toml", &["meter.leads"], &[], |entry| {
        Some(Value::Float(match entry.id() {
            "meter.lead.subtract" => entry.input("R_read") - entry.input("R_lead"),
            "meter.lead.error_ratio" => 100.0 * entry.input("R_lead") / entry.input("R_true"),
            "meter.lead.u_offset_cancels" => {
                let (first, second) = (entry.input("R_read"), entry.input("R_lead"));
                let (percent, step) = (entry.input("percent"), entry.input("resolution"));
                difference(first, second, percent, step).unwrap().standard_uncertainty()
            }
            "meter.lead.u_independent" => {
                let accuracy = Accuracy {
                    percent_of_reading: entry.input("percent"),
                    counts: entry.input("counts"),
                    ..Accuracy::default()
                };
                let mut sum = ErrorSum::new();
                for key in ["R_read", "R_lead"] {
                    // The entry leaves the step out: 0.1 ohm, as beside it.
                    let a = accuracy.limit_of_error(entry.input(key), 0.1, 0.0);
                    sum.push(Component::rectangular(a).unwrap());
                }
                sum.standard_uncertainty()
            }
            _ => return None,
        }))
    });
}

#[test]
fn loading_and_waveform() {
    hold("meter.toml", &["meter.loading", "meter.waveform"], &[], |entry| {
        Some(Value::Float(match entry.id() {
            "meter.loading" => loading_factor(entry.input("R_in"), entry.input("R_source")),
            "meter.burden" => {
                burden_voltage(entry.input("R_shunt"), entry.input("R_leads"), entry.input("I_A"))
            }
            _ => match entry.input_word("waveform") {
                "sine" => Waveform::Sine.average_responding_factor(),
                "triangle" => Waveform::Triangle.average_responding_factor(),
                _ => return None,
            },
        }))
    });
}
