//! The standard kinds of quantity: one row each.
//!
//! A row is `NAME "name" "plain words" dimension nature "coherent unit" floor "doc"`. The dimension is
//! that of a `uom` quantity, or base powers (L M T I Th N J) where `uom` has none. Order is free;
//! an index is never stored in a file.

use std::borrow::Cow;

use crate::{Dimension, Floor, Kind, KindDef, Nature};

macro_rules! dimension {
    ([$($power:literal)*]) => { Dimension([$($power),*]) };
    ($quantity:ident) => { Dimension::of::<uom::si::$quantity::Dimension>() };
}

macro_rules! nature {
    (amount) => {
        Nature::Amount
    };
    ((point $difference:ident)) => {
        Nature::Point { difference: Kind::$difference }
    };
    ((difference $of:ident)) => {
        Nature::Difference { of: Kind::$of }
    };
}

macro_rules! floor {
    (positive) => {
        Floor::Zero
    };
    (signed) => {
        Floor::None
    };
}

macro_rules! kinds {
    ($($constant:ident $name:literal $words:literal $dimension:tt $nature:tt $unit:literal $floor:ident $doc:literal;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms, reason = "variants only number the rows")]
        #[repr(u16)]
        enum Row { $($constant),* }

        impl Kind {
            $(#[doc = $doc] pub const $constant: Kind = Kind(Row::$constant as u16);)*
        }

        /// Every standard kind, in the order of the indices.
        pub(crate) static STANDARD_KINDS: &[KindDef] = &[$(KindDef {
            name: Cow::Borrowed($name),
            words: Cow::Borrowed($words),
            dimension: dimension!($dimension),
            nature: nature!($nature),
            unit: Cow::Borrowed($unit),
            floor: floor!($floor),
            doc: Cow::Borrowed($doc),
        }),*];
    };
}

kinds! {
    // numbers
    RATIO "ratio" "ratio" ratio amount "1" signed "A plain number: a quotient of two like quantities, a percentage.";
    COUNT "count" "count" ratio amount "1" positive "A number of things counted: teeth, pulses, turns of wire.";

    // space and time
    LENGTH "length" "length" length amount "m" signed "A length, gap, runout or offset.";
    AREA "area" "area" area amount "m2" positive "An area: a conductor's cross-section.";
    VOLUME "volume" "volume" volume amount "m3" positive "A volume: oil, fuel, displacement.";
    TIME "time" "time" time amount "s" signed "A duration.";
    ANGLE "angle" "angle" angle amount "rad" signed "A plane angle: timing, camber, dwell.";
    SPEED "speed" "speed" velocity amount "m/s" signed "A speed along a path.";
    ACCELERATION "acceleration" "acceleration" acceleration amount "m/s2" signed "A rate of change of speed.";
    FREQUENCY "frequency" "frequency" frequency amount "Hz" positive "Events or cycles per time: an ac output, an ignition rate.";
    ROTATIONAL_SPEED "rotational_speed" "rotational speed" angular_velocity amount "rad/s" signed "How fast a shaft turns. Not a frequency: a turn is 2 pi radians.";
    ANGULAR_ACCELERATION "angular_acceleration" "angular acceleration" angular_acceleration amount "rad/s2" signed "A rate of change of rotational speed.";

    // mass and force
    MASS "mass" "mass" mass amount "kg" positive "A mass.";
    DENSITY "density" "density" mass_density amount "kg/m3" positive "Mass per volume: electrolyte, fuel.";
    LINEAR_DENSITY "linear_density" "mass per length" linear_mass_density amount "kg/m" positive "Mass per length of a cable or belt.";
    MOMENT_OF_INERTIA "moment_of_inertia" "moment of inertia" moment_of_inertia amount "kg.m2" positive "Resistance of a body to being spun up.";
    FORCE "force" "force" force amount "N" signed "A force: belt tension, pedal effort.";
    TORQUE "torque" "torque" torque amount "N.m" signed "A turning moment. Not an energy, whose dimension it shares.";
    STIFFNESS "stiffness" "stiffness" [0 1 -2 0 0 0 0] amount "N/m" signed "Force per deflection: a spring rate.";
    ANGULAR_STIFFNESS "angular_stiffness" "angular stiffness" torque amount "N.m/rad" signed "Torque per angle.";
    STRESS "stress" "stress" pressure amount "Pa" signed "Force per area inside a solid: tensile strength.";

    // pressure and flow
    GAUGE_PRESSURE "gauge_pressure" "gauge pressure" pressure (point PRESSURE) "Pa" signed "A pressure above that of the surroundings: tyres, oil, fuel.";
    ABSOLUTE_PRESSURE "absolute_pressure" "absolute pressure" pressure (point PRESSURE) "Pa" positive "A pressure above vacuum: a manifold sensor, the weather.";
    PRESSURE "pressure" "difference of pressures" pressure (difference GAUGE_PRESSURE) "Pa" signed "A difference of two pressures: a drop, a leak-down.";
    VOLUME_FLOW "volume_flow" "volume flow" volume_rate amount "m3/s" signed "Volume per time: a pump's or an injector's delivery.";
    MASS_FLOW "mass_flow" "mass flow" mass_rate amount "kg/s" signed "Mass per time: intake air.";
    DYNAMIC_VISCOSITY "dynamic_viscosity" "dynamic viscosity" dynamic_viscosity amount "Pa.s" positive "Viscosity: shear stress per rate of shear.";
    KINEMATIC_VISCOSITY "kinematic_viscosity" "kinematic viscosity" diffusion_coefficient amount "m2/s" positive "Viscosity over density, as oils are graded.";
    FUEL_CONSUMPTION "fuel_consumption" "fuel consumption" area amount "m3/m" positive "Volume of fuel per distance.";
    FUEL_ECONOMY "fuel_economy" "fuel economy" [-2 0 0 0 0 0 0] amount "m/m3" positive "Distance per volume of fuel: the other way round than consumption.";

    // heat
    TEMPERATURE "temperature" "temperature" thermodynamic_temperature (point TEMPERATURE_DIFFERENCE) "K" positive "A temperature: a point on a scale.";
    TEMPERATURE_DIFFERENCE "temperature_difference" "difference of temperatures" temperature_interval (difference TEMPERATURE) "K" signed "A rise or fall of temperature.";
    TEMPERATURE_COEFFICIENT "temperature_coefficient" "temperature coefficient" temperature_coefficient amount "1/K" signed "Relative change per difference of temperature.";
    THERMAL_RESISTANCE "thermal_resistance" "thermal resistance" thermal_resistance amount "K/W" positive "Difference of temperatures per heat flow.";
    HEAT_CAPACITY "heat_capacity" "heat capacity" heat_capacity amount "J/K" positive "Heat per rise of temperature of a body.";
    SPECIFIC_HEAT "specific_heat" "specific heat capacity" specific_heat_capacity amount "J/(kg.K)" positive "Heat per mass and rise of temperature.";
    THERMAL_CONDUCTIVITY "thermal_conductivity" "thermal conductivity" thermal_conductivity amount "W/(m.K)" positive "How well a material leads heat.";
    HEAT_TRANSFER "heat_transfer" "heat transfer coefficient" heat_transfer amount "W/(m2.K)" positive "Heat flow per area and difference of temperatures.";

    // work and power
    ENERGY "energy" "energy" energy amount "J" signed "Work or heat.";
    POWER "power" "power" power amount "W" signed "Work per time; also the real power of an ac circuit.";
    APPARENT_POWER "apparent_power" "apparent power" power amount "VA" positive "Rms voltage times rms current of an ac circuit.";
    IRRADIANCE "irradiance" "irradiance" heat_flux_density amount "W/m2" positive "Radiant power per area: sunlight on a panel.";

    // electricity
    DC_VOLTAGE "dc_voltage" "dc voltage" electric_potential amount "V" signed "A direct voltage, or the mean of a varying one.";
    AC_VOLTAGE "ac_voltage" "ac voltage" electric_potential amount "V" positive "The rms value of an alternating voltage.";
    PEAK_VOLTAGE "peak_voltage" "peak voltage" electric_potential amount "V" signed "The crest of a waveform, as a peak adaptor shows it.";
    DIODE_DROP "diode_drop" "diode drop" electric_potential amount "V" signed "What a meter's diode test shows: the drop at its own small current.";
    DC_CURRENT "dc_current" "dc current" electric_current amount "A" signed "A direct current, or the mean of a varying one.";
    AC_CURRENT "ac_current" "ac current" electric_current amount "A" positive "The rms value of an alternating current.";
    CHARGE "charge" "electric charge" electric_charge amount "C" signed "Charge; a battery's capacity in Ah.";
    RESISTANCE "resistance" "resistance" electrical_resistance amount "ohm" positive "Voltage per current.";
    RESISTANCE_PER_LENGTH "resistance_per_length" "resistance per length" [1 1 -3 -2 0 0 0] amount "ohm/m" positive "Resistance of a cable per length.";
    RESISTIVITY "resistivity" "resistivity" electrical_resistivity amount "ohm.m" positive "Resistance of a material.";
    CONDUCTANCE "conductance" "conductance" electrical_conductance amount "S" positive "Current per voltage, as battery testers show it.";
    CONDUCTIVITY "conductivity" "conductivity" electrical_conductivity amount "S/m" positive "Conductance of a material or liquid.";
    CAPACITANCE "capacitance" "capacitance" capacitance amount "F" positive "Charge per voltage.";
    INDUCTANCE "inductance" "inductance" inductance amount "H" positive "Flux per current.";
    ELECTRIC_FIELD "electric_field" "electric field strength" electric_field amount "V/m" signed "Voltage per length: a spark gap, an insulation.";
    VOLTAGE_PER_SPEED "voltage_per_speed" "voltage per rotational speed" magnetic_flux amount "V.s/rad" signed "A generator's voltage constant.";

    // magnetism and light
    MAGNETIC_FLUX "magnetic_flux" "magnetic flux" magnetic_flux amount "Wb" signed "Magnetic flux.";
    MAGNETIC_FLUX_DENSITY "magnetic_flux_density" "magnetic flux density" magnetic_flux_density amount "T" signed "Strength of a magnet at a place.";
    LUMINOUS_INTENSITY "luminous_intensity" "luminous intensity" luminous_intensity amount "cd" positive "Light in one direction: a headlamp's beam.";
    LUMINOUS_FLUX "luminous_flux" "luminous flux" [0 0 0 0 0 0 1] amount "lm" positive "All the light of a lamp.";
    ILLUMINANCE "illuminance" "illuminance" illuminance amount "lx" positive "Light on an area.";
    LUMINANCE "luminance" "luminance" luminance amount "cd/m2" positive "Brightness of an area.";

    // sound
    SOUND_LEVEL "sound_level" "sound level" ratio (point LEVEL_DIFFERENCE) "dB" signed "A sound pressure level: a point on a logarithmic scale.";
    LEVEL_DIFFERENCE "level_difference" "difference of levels" ratio (difference SOUND_LEVEL) "dB" signed "How much louder: a difference of two levels.";
}
