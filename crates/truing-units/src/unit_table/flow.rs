//! Flow, viscosity and fuel.

use super::*;

units! {
    volume_rate [VOLUME_FLOW] {
        "m3/s" "cubic metre per second" = "1" ucum "m3/s" uom cubic_meter_per_second;
        "m3/min" "cubic metre per minute" = "1/60" ucum "m3/min" uom cubic_meter_per_minute;
        "m3/h" "cubic metre per hour" = "1/3600" ucum "m3/h" uom cubic_meter_per_hour;
        "L/s" "litre per second" = "1e-3" ucum "L/s" uom liter_per_second also "l/s";
        "L/min" "litre per minute" = "1e-3/60" ucum "L/min" uom liter_per_minute also "l/min" "lpm" "LPM";
        "L/h" "litre per hour" = "1e-3/3600" ucum "L/h" also "l/h" "lph";
        "mL/s" "millilitre per second" = "1e-6" ucum "mL/s" uom milliliter_per_second also "ml/s" "cc/s" "cm3/s";
        "mL/min" "millilitre per minute" = "1e-6/60" ucum "mL/min" also "ml/min" "cc/min" "cm3/min";
        "US_gal/min" "US gallon per minute" = "gal/60" ucum "[gal_us]/min" rounded gallon_per_minute also "gpm" "gal/min" "usgpm";
        "US_gal/h" "US gallon per hour" = "gal/3600" ucum "[gal_us]/h" also "gph" "gal/h" "usgph";
        "imp_gal/min" "imperial gallon per minute" = "imp/60" ucum "[gal_br]/min";
        "ft3/s" "cubic foot per second" = "ft^3" ucum "[cft_i]/s" rounded cubic_foot_per_second also "cfs";
        "ft3/min" "cubic foot per minute" = "ft^3/60" ucum "[cft_i]/min" rounded cubic_foot_per_minute also "cfm" "CFM";
        "in3/min" "cubic inch per minute" = "in^3/60" ucum "[cin_i]/min" rounded cubic_inch_per_minute;
    }
    mass_rate [MASS_FLOW] {
        "kg/s" "kilogram per second" = "1" ucum "kg/s" uom kilogram_per_second;
        "kg/min" "kilogram per minute" = "1/60" ucum "kg/min" uom kilogram_per_minute;
        "kg/h" "kilogram per hour" = "1/3600" ucum "kg/h" uom kilogram_per_hour;
        "g/s" "gram per second" = "1e-3" ucum "g/s" uom gram_per_second;
        "g/min" "gram per minute" = "1e-3/60" ucum "g/min" uom gram_per_minute;
        "g/h" "gram per hour" = "1e-3/3600" ucum "g/h" uom gram_per_hour;
        "mg/s" "milligram per second" = "1e-6" ucum "mg/s" uom milligram_per_second;
        "lb/s" "pound per second" = "lb" ucum "[lb_av]/s" rounded pound_per_second;
        "lb/min" "pound per minute" = "lb/60" ucum "[lb_av]/min" rounded pound_per_minute;
        "lb/h" "pound per hour" = "lb/3600" ucum "[lb_av]/h" rounded pound_per_hour;
    }
    dynamic_viscosity [DYNAMIC_VISCOSITY] {
        "Pa.s" "pascal second" = "1" ucum "Pa.s" uom pascal_second;
        "mPa.s" "millipascal second" = "1e-3" ucum "mPa.s" uom millipascal_second;
        "P" "poise" = "0.1" ucum "P" uom poise;
        "cP" "centipoise" = "1e-3" ucum "cP" uom centipoise;
    }
    // uom gives kinematic viscosity a kind of its own; the same units stand in diffusion_coefficient.
    diffusion_coefficient [KINEMATIC_VISCOSITY] {
        "m2/s" "square metre per second" = "1" ucum "m2/s" uom square_meter_per_second;
        "mm2/s" "square millimetre per second" = "1e-6" ucum "mm2/s" uom square_millimeter_per_second;
        "St" "stokes" = "1e-4" ucum "St" uom stokes;
        "cSt" "centistokes" = "1e-6" ucum "cSt" uom centistokes;
    }
    [2 0 0 0 0 0 0] [FUEL_CONSUMPTION] {
        "m3/m" "cubic metre per metre" = "1" ucum "m3/m";
        "L/km" "litre per kilometre" = "1e-6" ucum "L/km" also "l/km";
        "L/100km" "litre per hundred kilometres" = "1e-8" ucum "L/(100.km)" also "l/100km";
    }
    [-2 0 0 0 0 0 0] [FUEL_ECONOMY] {
        "m/m3" "metre per cubic metre" = "1" ucum "m/m3";
        "km/L" "kilometre per litre" = "1e6" ucum "km/L" also "km/l" "kmpl";
        "mpg_us" "mile per US gallon" = "mi/gal" ucum "[mi_i]/[gal_us]" also "mi/US_gal";
        "mpg_uk" "mile per imperial gallon" = "mi/imp" ucum "[mi_i]/[gal_br]" also "mpg_imp" "mi/imp_gal";
    }
}
