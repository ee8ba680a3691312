//! Energy and power.

use super::*;

units! {
    energy [ENERGY] {
        "J" "joule" = "1" ucum "J" uom joule also "joule" "joules";
        "mJ" "millijoule" = "1e-3" ucum "mJ" uom millijoule;
        "kJ" "kilojoule" = "1000" ucum "kJ" uom kilojoule;
        "MJ" "megajoule" = "1e6" ucum "MJ" uom megajoule;
        "W.s" "watt second" = "1" ucum "W.s" uom watt_second also "Ws";
        "Wh" "watt hour" = "3600" ucum "W.h" uom watt_hour also "W.h";
        "mWh" "milliwatt hour" = "3.6" ucum "mW.h" uom milliwatt_hour also "mW.h";
        "kWh" "kilowatt hour" = "3.6e6" ucum "kW.h" uom kilowatt_hour also "kW.h" "kwh";
        "MWh" "megawatt hour" = "3.6e9" ucum "MW.h" uom megawatt_hour also "MW.h";
        "cal" "calorie, thermochemical" = "cal" ucum "cal_th" uom calorie also "cal_th";
        "kcal" "kilocalorie, thermochemical" = "cal*1000" ucum "kcal_th" uom kilocalorie;
        "cal_IT" "calorie, International Table" = "4.1868" ucum "cal_IT" uom calorie_it;
        "BTU" "British thermal unit, International Table" = "btu" ucum "[Btu_IT]" rounded btu_it also "Btu" "btu" "BTU_IT";
        "erg" "erg" = "1e-7" ucum "erg" uom erg;
        "eV" "electronvolt" = "1.602176634e-19" ucum "eV" uom electronvolt;
    }
    power [POWER] {
        "W" "watt" = "1" ucum "W" uom watt also "watt" "watts";
        "uW" "microwatt" = "1e-6" ucum "uW" uom microwatt;
        "mW" "milliwatt" = "1e-3" ucum "mW" uom milliwatt;
        "kW" "kilowatt" = "1000" ucum "kW" uom kilowatt;
        "MW" "megawatt" = "1e6" ucum "MW" uom megawatt;
        "hp" "horsepower of 550 foot pounds-force per second" = "lb*gn*ft*550" ucum "[HP]" rounded horsepower also "HP" "bhp" "BHP";
        "PS" "metric horsepower" = "gn*75" rounded horsepower_metric also "CV" "cv" "ch";
        "hp_e" "electric horsepower" = "746" uom horsepower_electric;
        "hp_boiler" "boiler horsepower" = "9809.5" uom horsepower_boiler
            measured "rests on the measured heat of evaporation of water";
        "BTU/h" "Btu per hour" = "btu/3600" ucum "[Btu_IT]/h" also "Btu/h" "btu/h" "BTUH";
        "kcal/h" "kilocalorie per hour" = "cal*1000/3600" ucum "kcal_th/h";
    }
    power [APPARENT_POWER] {
        "VA" "volt ampere" = "1" ucum "V.A" uom watt also "V.A";
        "mVA" "millivolt ampere" = "1e-3" ucum "mV.A" uom milliwatt;
        "kVA" "kilovolt ampere" = "1000" ucum "kV.A" uom kilowatt also "kV.A";
    }
    heat_flux_density [IRRADIANCE] {
        "W/m2" "watt per square metre" = "1" ucum "W/m2" uom watt_per_square_meter;
        "kW/m2" "kilowatt per square metre" = "1000" ucum "kW/m2" uom kilowatt_per_square_meter;
        "W/cm2" "watt per square centimetre" = "1e4" ucum "W/cm2" uom watt_per_square_centimeter;
        "mW/cm2" "milliwatt per square centimetre" = "10" ucum "mW/cm2";
    }
}
