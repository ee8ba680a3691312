//! Temperature and heat.

use super::*;

units! {
    thermodynamic_temperature [TEMPERATURE TEMPERATURE_DIFFERENCE] {
        "K" "kelvin" = "1" ucum "K" uom kelvin also "kelvin" "kelvins";
        "degC" "degree Celsius" = "1" offset "273.15" ucum "Cel" uom degree_celsius also "Celsius" "celsius";
        "degF" "degree Fahrenheit" = "5/9" offset "459.67" ucum "[degF]" uom degree_fahrenheit also "Fahrenheit" "fahrenheit";
        "degR" "degree Rankine" = "5/9" ucum "[degR]" uom degree_rankine;
    }
    temperature_interval [TEMPERATURE_DIFFERENCE] {
        "mK" "millikelvin" = "1e-3" ucum "mK" uom millikelvin;
    }
    temperature_coefficient [TEMPERATURE_COEFFICIENT] {
        "1/K" "per kelvin" = "1" ucum "/K" uom per_kelvin also "/K" "K-1" "1/degC" "/degC";
        "%/K" "percent per kelvin" = "0.01" ucum "%/K" also "%/degC";
        "ppm/K" "part per million per kelvin" = "1e-6" ucum "[ppm]/K" uom ppm_per_kelvin also "ppm/degC";
        "1/degF" "per degree Fahrenheit" = "9/5" ucum "/[degR]" also "/degF";
    }
    thermal_resistance [THERMAL_RESISTANCE] {
        "K/W" "kelvin per watt" = "1" ucum "K/W" uom kelvin_per_watt also "degC/W";
        "K/kW" "kelvin per kilowatt" = "1e-3" ucum "K/kW" uom kelvin_per_kilowatt;
        "K/mW" "kelvin per milliwatt" = "1e3" ucum "K/mW" uom kelvin_per_milliwatt also "degC/mW";
    }
    heat_capacity [HEAT_CAPACITY] {
        "J/K" "joule per kelvin" = "1" ucum "J/K" uom joule_per_kelvin also "J/degC";
        "kJ/K" "kilojoule per kelvin" = "1000" ucum "kJ/K" uom kilojoule_per_kelvin also "kJ/degC";
    }
    specific_heat_capacity [SPECIFIC_HEAT] {
        "J/(kg.K)" "joule per kilogram kelvin" = "1" ucum "J/(kg.K)" uom joule_per_kilogram_kelvin;
        "kJ/(kg.K)" "kilojoule per kilogram kelvin" = "1000" ucum "kJ/(kg.K)" uom kilojoule_per_kilogram_kelvin;
        "cal/(g.K)" "calorie per gram kelvin" = "cal*1000" ucum "cal_th/(g.K)" uom calorie_per_gram_kelvin;
    }
    thermal_conductivity [THERMAL_CONDUCTIVITY] {
        "W/(m.K)" "watt per metre kelvin" = "1" ucum "W/(m.K)" uom watt_per_meter_kelvin;
        "mW/(m.K)" "milliwatt per metre kelvin" = "1e-3" ucum "mW/(m.K)" uom milliwatt_per_meter_kelvin;
    }
    heat_transfer [HEAT_TRANSFER] {
        "W/(m2.K)" "watt per square metre kelvin" = "1" ucum "W/(m2.K)" uom watt_per_square_meter_kelvin;
        "BTU/(h.ft2.degF)" "Btu per hour square foot degree Fahrenheit" = "btu/3600/ft^2*9/5"
            ucum "[Btu_IT]/(h.[sft_i].[degR])" rounded btu_it_per_hour_square_foot_degree_fahrenheit;
    }
}
