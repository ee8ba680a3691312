//! The unit calculator from its text.

use truing_compile::{Calculated, calculate_in};
use truing_syntax::{Diagnostic, parse_calc};

/// Works out a line of the calculator: an expression of figures, and with `in` the unit that it is
/// wanted in.
///
/// ```
/// let torque = truing::calculate("34 N.m in lbf.ft").map_err(|found| found.len());
/// assert_eq!(torque.map(|it| it.text), Ok("25 lbf.ft".to_owned()));
/// assert!(truing::calculate("34 N.m in V").is_err());
/// ```
///
/// # Errors
/// What keeps it from being worked out; places count in `text`.
pub fn calculate(text: &str) -> Result<Calculated, Vec<Diagnostic>> {
    let line = parse_calc(text)?;
    calculate_in(text, &line.expr, line.to.as_ref())
}
