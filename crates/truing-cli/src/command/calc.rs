//! `truing calc`: a quantity worked out or converted.

use serde_json::json;
use truing::compile::Calculated;
use truing::report::{diagnostics_json, render_diagnostics};
use truing::syntax::{Diagnostic, Sources};
use truing::units::Catalogue;

use crate::arguments::{CalcArguments, Format};
use crate::output::Output;
use crate::status::Status;

/// What the expression is called in findings.
const NAME: &str = "calculation";

/// Works out the expression that the arguments give.
pub fn run(arguments: &CalcArguments, output: &mut Output) -> Status {
    if arguments.json {
        output.format = Format::Json;
    }
    let text = arguments.expression.join(" ");
    match truing::calculate(&text) {
        Ok(calculated) => {
            tell(&text, &calculated, output);
            Status::Pass
        }
        Err(findings) => refuse(&text, &findings, output),
    }
}

fn tell(text: &str, calculated: &Calculated, output: &mut Output) {
    if output.json() {
        return output.document(&document(text, calculated));
    }
    output.line(&calculated.text);
    if calculated.long != calculated.text {
        output.line(&format!("  more exactly {}", calculated.long));
    }
}

fn document(text: &str, calculated: &Calculated) -> serde_json::Value {
    let unit = &calculated.unit;
    json!({
        "format": "truing-calculation",
        "version": 1,
        "expression": text,
        "text": calculated.text,
        "long": calculated.long,
        "value": calculated.value,
        "kind": calculated.kind,
        "unit": { "symbol": unit.symbol(), "ucum": Catalogue::standard().ucum_of(unit) },
    })
}

fn refuse(text: &str, findings: &[Diagnostic], output: &mut Output) -> Status {
    let mut sources = Sources::new();
    sources.add(NAME, text);
    if output.json() {
        output.document(&diagnostics_json(&sources, findings));
    } else {
        output.complain(&render_diagnostics(&sources, findings, output.error_style));
    }
    Status::Error
}
