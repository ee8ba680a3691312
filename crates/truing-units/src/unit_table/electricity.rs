//! Electricity and magnetism.

use super::*;

units! {
    electric_potential [DC_VOLTAGE AC_VOLTAGE PEAK_VOLTAGE DIODE_DROP] {
        "V" "volt" = "1" ucum "V" uom volt also "volt" "volts" "Volt" "Volts";
        "nV" "nanovolt" = "1e-9" ucum "nV" uom nanovolt;
        "uV" "microvolt" = "1e-6" ucum "uV" uom microvolt;
        "mV" "millivolt" = "1e-3" ucum "mV" uom millivolt also "millivolt" "millivolts";
        "kV" "kilovolt" = "1000" ucum "kV" uom kilovolt also "kilovolt" "kilovolts";
    }
    electric_potential [DC_VOLTAGE] {
        "Vdc" "volt, dc" = "1" ucum "V{dc}" uom volt also "VDC" "V_dc";
        "mVdc" "millivolt, dc" = "1e-3" ucum "mV{dc}" uom millivolt also "mVDC" "mV_dc";
    }
    electric_potential [AC_VOLTAGE] {
        "Vac" "volt, rms" = "1" ucum "V{rms}" uom volt also "VAC" "V_ac" "Vrms" "V_rms";
        "mVac" "millivolt, rms" = "1e-3" ucum "mV{rms}" uom millivolt also "mVAC" "mV_ac" "mVrms";
        "kVac" "kilovolt, rms" = "1000" ucum "kV{rms}" uom kilovolt also "kVAC";
    }
    electric_potential [PEAK_VOLTAGE] {
        "Vp" "volt, peak" = "1" ucum "V{peak}" uom volt also "Vpk" "V_p" "V_peak" "Vpeak";
        "mVp" "millivolt, peak" = "1e-3" ucum "mV{peak}" uom millivolt also "mVpk";
        "kVp" "kilovolt, peak" = "1000" ucum "kV{peak}" uom kilovolt also "kVpk";
    }
    electric_current [DC_CURRENT AC_CURRENT] {
        "A" "ampere" = "1" ucum "A" uom ampere also "amp" "amps" "ampere" "amperes" "Amp" "Amps";
        "nA" "nanoampere" = "1e-9" ucum "nA" uom nanoampere;
        "uA" "microampere" = "1e-6" ucum "uA" uom microampere;
        "mA" "milliampere" = "1e-3" ucum "mA" uom milliampere also "milliamp" "milliamps";
        "kA" "kiloampere" = "1000" ucum "kA" uom kiloampere;
    }
    electric_current [DC_CURRENT] {
        "Adc" "ampere, dc" = "1" ucum "A{dc}" uom ampere also "ADC" "A_dc";
        "mAdc" "milliampere, dc" = "1e-3" ucum "mA{dc}" uom milliampere also "mADC";
        // A battery's rating is the current that it gives under a stated test.
        "CCA" "ampere, cold cranking" = "1" ucum "A{cold cranking}" uom ampere;
        "CA" "ampere, cranking" = "1" ucum "A{cranking}" uom ampere also "MCA";
    }
    electric_current [AC_CURRENT] {
        "Aac" "ampere, rms" = "1" ucum "A{rms}" uom ampere also "AAC" "A_ac" "Arms";
        "mAac" "milliampere, rms" = "1e-3" ucum "mA{rms}" uom milliampere also "mAAC";
    }
    electric_charge [CHARGE] {
        "C" "coulomb" = "1" ucum "C" uom coulomb also "coulomb" "coulombs";
        "mC" "millicoulomb" = "1e-3" ucum "mC" uom millicoulomb;
        "uC" "microcoulomb" = "1e-6" ucum "uC" uom microcoulomb;
        "nC" "nanocoulomb" = "1e-9" ucum "nC" uom nanocoulomb;
        "Ah" "ampere hour" = "3600" ucum "A.h" uom ampere_hour also "A.h" "AH" "Amp-h";
        "mAh" "milliampere hour" = "3.6" ucum "mA.h" uom milliampere_hour also "mA.h" "mAH";
    }
    electrical_resistance [RESISTANCE] {
        "ohm" "ohm" = "1" ucum "Ohm" uom ohm also "Ohm" "ohms" "Ohms" "OHM";
        "nohm" "nanoohm" = "1e-9" ucum "nOhm" uom nanoohm also "nOhm";
        "uohm" "microohm" = "1e-6" ucum "uOhm" uom microohm also "uOhm" "microohm" "microohms";
        "mohm" "milliohm" = "1e-3" ucum "mOhm" uom milliohm also "mOhm" "milliohm" "milliohms";
        "kohm" "kiloohm" = "1e3" ucum "kOhm" uom kiloohm also "kOhm" "kilohm" "kilohms" "kiloohm";
        "Mohm" "megaohm" = "1e6" ucum "MOhm" uom megaohm also "MOhm" "megohm" "megohms" "megaohm";
        "Gohm" "gigaohm" = "1e9" ucum "GOhm" uom gigaohm also "GOhm";
    }
    [1 1 -3 -2 0 0 0] [RESISTANCE_PER_LENGTH] {
        "ohm/m" "ohm per metre" = "1" ucum "Ohm/m";
        "mohm/m" "milliohm per metre" = "1e-3" ucum "mOhm/m";
        "ohm/km" "ohm per kilometre" = "1e-3" ucum "Ohm/km";
        "kohm/m" "kiloohm per metre" = "1e3" ucum "kOhm/m";
        "ohm/ft" "ohm per foot" = "1/ft" ucum "Ohm/[ft_i]";
        "ohm/kft" "ohm per thousand feet" = "1e-3/ft" ucum "Ohm/(1000.[ft_i])";
    }
    electrical_resistivity [RESISTIVITY] {
        "ohm.m" "ohm metre" = "1" ucum "Ohm.m" uom ohm_meter;
        "ohm.cm" "ohm centimetre" = "0.01" ucum "Ohm.cm" uom ohm_centimeter;
        "uohm.m" "microohm metre" = "1e-6" ucum "uOhm.m" uom microohm_meter;
        "nohm.m" "nanoohm metre" = "1e-9" ucum "nOhm.m" uom nanoohm_meter;
        "uohm.cm" "microohm centimetre" = "1e-8" ucum "uOhm.cm";
        "ohm.mm2/m" "ohm square millimetre per metre" = "1e-6" ucum "Ohm.mm2/m" uom ohm_square_millimeter_per_meter;
    }
    electrical_conductance [CONDUCTANCE] {
        "S" "siemens" = "1" ucum "S" uom siemens also "siemens" "mho" "mhos";
        "nS" "nanosiemens" = "1e-9" ucum "nS" uom nanosiemens;
        "uS" "microsiemens" = "1e-6" ucum "uS" uom microsiemens;
        "mS" "millisiemens" = "1e-3" ucum "mS" uom millisiemens;
        "kS" "kilosiemens" = "1e3" ucum "kS" uom kilosiemens;
    }
    electrical_conductivity [CONDUCTIVITY] {
        "S/m" "siemens per metre" = "1" ucum "S/m" uom siemens_per_meter;
        "S/cm" "siemens per centimetre" = "100" ucum "S/cm" uom siemens_per_centimeter;
        "mS/cm" "millisiemens per centimetre" = "0.1" ucum "mS/cm";
        "uS/cm" "microsiemens per centimetre" = "1e-4" ucum "uS/cm";
        "MS/m" "megasiemens per metre" = "1e6" ucum "MS/m";
    }
    capacitance [CAPACITANCE] {
        "F" "farad" = "1" ucum "F" uom farad also "farad" "farads";
        "mF" "millifarad" = "1e-3" ucum "mF" uom millifarad;
        "uF" "microfarad" = "1e-6" ucum "uF" uom microfarad;
        "nF" "nanofarad" = "1e-9" ucum "nF" uom nanofarad;
        "pF" "picofarad" = "1e-12" ucum "pF" uom picofarad;
    }
    inductance [INDUCTANCE] {
        "H" "henry" = "1" ucum "H" uom henry also "henry" "henries";
        "mH" "millihenry" = "1e-3" ucum "mH" uom millihenry;
        "uH" "microhenry" = "1e-6" ucum "uH" uom microhenry;
        "nH" "nanohenry" = "1e-9" ucum "nH" uom nanohenry;
    }
    electric_field [ELECTRIC_FIELD] {
        "V/m" "volt per metre" = "1" ucum "V/m" uom volt_per_meter;
        "V/cm" "volt per centimetre" = "100" ucum "V/cm" uom volt_per_centimeter;
        "V/mm" "volt per millimetre" = "1000" ucum "V/mm" uom volt_per_millimeter;
        "kV/cm" "kilovolt per centimetre" = "1e5" ucum "kV/cm";
        "kV/mm" "kilovolt per millimetre" = "1e6" ucum "kV/mm" uom kilovolt_per_millimeter;
        "MV/m" "megavolt per metre" = "1e6" ucum "MV/m" uom megavolt_per_meter;
        "V/mil" "volt per thousandth of an inch" = "1000/in" ucum "V/[mil_i]" uom volt_per_mil also "V/thou";
    }
    magnetic_flux [VOLTAGE_PER_SPEED] {
        "V.s/rad" "volt second per radian" = "1" ucum "V.s/rad" also "V/(rad/s)";
        "V/rpm" "volt per turn per minute" = "30/pi" ucum "V/(circ/min)";
        "mV/rpm" "millivolt per turn per minute" = "30e-3/pi" ucum "mV/(circ/min)";
        "V/krpm" "volt per thousand turns per minute" = "30e-3/pi" ucum "V/(10*3.circ/min)" also "V/1000rpm";
    }
    magnetic_flux [MAGNETIC_FLUX] {
        "Wb" "weber" = "1" ucum "Wb" uom weber also "weber" "webers";
        "mWb" "milliweber" = "1e-3" ucum "mWb" uom milliweber;
        "uWb" "microweber" = "1e-6" ucum "uWb" uom microweber;
        "Mx" "maxwell" = "1e-8" ucum "Mx" uom maxwell;
    }
    magnetic_flux_density [MAGNETIC_FLUX_DENSITY] {
        "T" "tesla" = "1" ucum "T" uom tesla also "tesla" "teslas";
        "mT" "millitesla" = "1e-3" ucum "mT" uom millitesla;
        "uT" "microtesla" = "1e-6" ucum "uT" uom microtesla;
        "G" "gauss" = "1e-4" ucum "G" uom gauss also "gauss" "Gauss";
    }
}
