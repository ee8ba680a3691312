//! Pressure. A bare unit may be gauge, absolute, a difference or a stress: the place decides, and
//! gauge is what workshop instruments show. Units with a letter say it themselves.
//!
//! Columns of mercury and water are the conventional ones (SP 811, B.6 footnote 10): mercury of
//! 13 595.1 kg/m3, water of 1000 kg/m3, standard gravity. UCUM's mercury column is rounded
//! (133.3220 kPa to the metre), so these carry no UCUM code.

use super::*;

units! {
    pressure [GAUGE_PRESSURE ABSOLUTE_PRESSURE PRESSURE STRESS] {
        "Pa" "pascal" = "1" ucum "Pa" uom pascal also "pascal" "pascals" "N/m2";
        "hPa" "hectopascal" = "100" ucum "hPa" uom hectopascal;
        "kPa" "kilopascal" = "1000" ucum "kPa" uom kilopascal;
        "MPa" "megapascal" = "1e6" ucum "MPa" uom megapascal;
        "GPa" "gigapascal" = "1e9" ucum "GPa" uom gigapascal;
        "N/mm2" "newton per square millimetre" = "1e6" ucum "N/mm2" uom newton_per_square_millimeter;
        "N/cm2" "newton per square centimetre" = "1e4" ucum "N/cm2";
        "bar" "bar" = "1e5" ucum "bar" uom bar also "bars";
        "mbar" "millibar" = "100" ucum "mbar" uom millibar;
        "kgf/cm2" "kilogram-force per square centimetre" = "gn*1e4" ucum "kgf/cm2" uom atmosphere_technical;
        "kgf/mm2" "kilogram-force per square millimetre" = "gn*1e6" ucum "kgf/mm2";
        "atm" "standard atmosphere" = "101325" ucum "atm" uom atmosphere;
        "psi" "pound-force per square inch" = "lb*gn/in^2" ucum "[psi]" rounded psi also "lbf/in2" "lb/in2" "lbs/in2" "PSI";
        "ksi" "thousand pounds-force per square inch" = "lb*gn/in^2*1000" ucum "k[psi]" rounded kip_per_square_inch;
        "psf" "pound-force per square foot" = "lb*gn/ft^2" ucum "[lbf_av]/[sft_i]" rounded pound_force_per_square_foot also "lbf/ft2";
        "Torr" "torr" = "101325/760" rounded torr also "torr";
        "mmHg" "millimetre of mercury" = "Hg*gn*1e-3" rounded millimeter_of_mercury;
        "cmHg" "centimetre of mercury" = "Hg*gn*0.01" rounded centimeter_of_mercury;
        "inHg" "inch of mercury" = "Hg*gn*in" rounded inch_of_mercury;
        "mmH2O" "millimetre of water" = "gn" ucum "mm[H2O]" uom millimeter_of_water also "mmAq";
        "cmH2O" "centimetre of water" = "gn*10" ucum "cm[H2O]" uom centimeter_of_water;
        "inH2O" "inch of water" = "gn*in*1000" ucum "[in_i'H2O]" rounded inch_of_water also "inWC";
        "inH2O_60F" "inch of water at 60 degF" = "248.84" uom inch_of_water_60
            measured "the density of water at 60 degF is a measured value";
        "inHg_60F" "inch of mercury at 60 degF" = "3376.85" uom inch_of_mercury_60
            measured "the density of mercury at 60 degF is a measured value";
        "ftH2O" "foot of water" = "gn*ft*1000" rounded foot_of_water;
    }
    pressure [GAUGE_PRESSURE] {
        "kPag" "kilopascal, gauge" = "1000" ucum "kPa{gauge}" uom kilopascal also "kPa_g";
        "barg" "bar, gauge" = "1e5" ucum "bar{gauge}" uom bar also "bar_g";
        "psig" "pound-force per square inch, gauge" = "lb*gn/in^2" ucum "[psi]{gauge}" rounded psi also "psi_g" "PSIG";
    }
    pressure [ABSOLUTE_PRESSURE] {
        "kPaa" "kilopascal, absolute" = "1000" ucum "kPa{absolute}" uom kilopascal also "kPa_a";
        "bara" "bar, absolute" = "1e5" ucum "bar{absolute}" uom bar also "bar_a";
        "psia" "pound-force per square inch, absolute" = "lb*gn/in^2" ucum "[psi]{absolute}" rounded psi also "psi_a" "PSIA";
    }
    pressure [PRESSURE] {
        "psid" "pound-force per square inch, difference" = "lb*gn/in^2" ucum "[psi]{difference}" rounded psi also "psi_d";
    }
}
