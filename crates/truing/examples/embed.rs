//! The README's embedding example; a test holds the two together and runs it.

use truing::{Compiled, Error};
use uom::si::{electric_potential::volt, f64::ElectricPotential};

fn main() -> Result<(), Error> {
    let spec = Compiled::from_path("specs/demo/ostrevik-hauler-680.truing")?;
    let sheet = spec
        .sheet()
        .machine("serial", 3402)?
        .read("battery_temperature", "18 degC")?
        .read("battery_rest", "12.71 V")? // as the display showed it
        .measure("cranking_voltage", ElectricPotential::new::<volt>(9.4))?; // or typed by `uom`
    for finding in sheet.assess().findings.iter().filter(|finding| finding.outcome.fails()) {
        println!("{}: {}", spec.title_of(finding.check), finding.outcome.words());
    }
    Ok(())
}
