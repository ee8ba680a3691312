//! What written orders are expected to take, beside the engine's own, for people.

use truing_engine::procedure::{EngineOrder, OrderStudy, WrittenOrder};
use truing_model::{Procedure, Spec};

use crate::layout::{hanging, shown, table};
use crate::style::{Style, Tone};
use crate::suspects_words::minutes;

/// What was found of a spec's procedures.
#[derive(Clone, Debug)]
pub struct OrdersReport<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// Each procedure with what it is expected to take; nothing where the spec lists no fault.
    pub written: Vec<(&'a Procedure, Option<OrderStudy>)>,
    /// What the engine's own order is expected to take.
    pub engine: Option<EngineOrder>,
}

/// The procedures in a table, and the engine's own order beneath.
#[must_use]
pub fn render_orders(report: &OrdersReport<'_>, style: Style) -> String {
    let columns = style.columns();
    let mut out = format!("{}\n\n", style.paint(Tone::Heading, &shown(&report.spec.title)));
    if report.written.is_empty() {
        out.push_str(&hanging("", "This spec has no procedures.", columns));
        return out;
    }
    let Some(engine) = &report.engine else {
        let text = "This spec lists no faults, so nothing can be said of what an order takes.";
        out.push_str(&hanging("", text, columns));
        return out;
    };
    let heads = ["Order", "Takes", "Readings", "Names it", "Names", "Undecided"];
    let mut rows = vec![heads.map(str::to_owned).to_vec()];
    for (procedure, study) in &report.written {
        if let Some(study) = study {
            rows.push(row(&procedure.name, &study.written));
        }
    }
    rows.push(vec![
        "the engine's own".to_owned(),
        minutes(engine.minutes),
        format!("{:.1}", engine.readings),
        share(engine.right),
        String::new(),
        String::new(),
    ]);
    out.push_str(&table(&rows, 2, columns));
    out.push('\n');
    out.push_str(&hanging("", &legend(engine), columns));
    for (procedure, study) in &report.written {
        let beyond = study.as_ref().map_or(0.0, |study| study.written.beyond);
        if beyond > 0.0 {
            let text = format!(
                "{}: {} of all jobs go ways beyond the most that are followed; they are in no figure.",
                procedure.name,
                share(beyond)
            );
            out.push_str(&hanging("", &text, columns));
        }
    }
    out
}

fn row(name: &str, written: &WrittenOrder) -> Vec<String> {
    vec![
        name.to_owned(),
        minutes(written.minutes),
        format!("{:.1}", written.readings),
        share(written.named),
        match written.names > 0.0 {
            true => format!("{:.1} in {}", written.suspects, share(written.names)),
            false => "none".to_owned(),
        },
        share(written.stuck),
    ]
}

fn legend(engine: &EngineOrder) -> String {
    let drawn = match engine.drawn > 0.0 {
        true => format!(
            " Of the engine's own order one branch alone is followed behind those below {} ({} of all \
             jobs), drawn by its chance from seed {}.",
            small(engine.cut_off),
            share(engine.drawn),
            engine.seed
        ),
        false => String::new(),
    };
    let cut = match engine.cut > 0.0 {
        true => format!(" {} of all jobs were not followed to their end.", share(engine.cut)),
        false => String::new(),
    };
    format!(
        "Expected over the faults of this spec by their odds and chances, for a machine that someone \
         complains of; not over the machines that come with one complaint. Takes: time with charging \
         and changes of state. Names it: the fault is among the suspects that are named; of the engine, \
         that its first remedy is right, \"nothing is wrong\" among them; it measures until \
         a remedy is certain or nothing tells more. Names: how many suspects, in how many of the jobs. Undecided: \
         jobs that come to a condition that is not known.{drawn}{cut}"
    )
}

/// "this order takes 6 h 40 min and 14.1 readings, the engine's own 7 h 40 min and 23.2"
pub(crate) fn expected(
    written: Option<&OrderStudy>,
    engine: Option<&EngineOrder>,
) -> Option<String> {
    let (written, engine) = (&written?.written, engine?);
    Some(format!(
        "over the faults of this spec by their odds, this order takes {} and {:.1} readings and names \
         the fault among its suspects in {} of jobs; the engine's own takes {} and {:.1} readings, and \
         its first remedy is right in {}.",
        minutes(written.minutes),
        written.readings,
        share(written.named),
        minutes(engine.minutes),
        engine.readings,
        share(engine.right),
    ))
}

fn share(of: f64) -> String {
    match of * 100.0 {
        percent if percent <= 0.0 => "none".to_owned(),
        percent if percent < 1.0 => "below 1 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

fn small(of: f64) -> String {
    format!("{} %", (of * 1e6).round() / 1e4)
}
