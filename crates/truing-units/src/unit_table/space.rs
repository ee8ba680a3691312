//! Length, area, volume, time, angle and motion.

use super::*;

units! {
    length [LENGTH] {
        "m" "metre" = "1" ucum "m" uom meter also "metre" "metres";
        "km" "kilometre" = "1000" ucum "km" uom kilometer;
        "dm" "decimetre" = "0.1" ucum "dm" uom decimeter;
        "cm" "centimetre" = "0.01" ucum "cm" uom centimeter;
        "mm" "millimetre" = "0.001" ucum "mm" uom millimeter;
        "um" "micrometre" = "1e-6" ucum "um" uom micrometer also "micron" "microns";
        "nm" "nanometre" = "1e-9" ucum "nm" uom nanometer;
        "in" "inch" = "in" ucum "[in_i]" uom inch also "inch" "inches" "\"" "″";
        "ft" "foot" = "ft" ucum "[ft_i]" uom foot also "foot" "feet";
        "yd" "yard" = "yd" ucum "[yd_i]" uom yard also "yard" "yards";
        "mi" "mile" = "mi" ucum "[mi_i]" uom mile also "mile" "miles";
        "thou" "thousandth of an inch" = "in/1000" ucum "[mil_i]" uom mil also "mil" "mils";
        "uin" "microinch" = "in*1e-6" ucum "u[in_i]" uom microinch also "microinch" "microinches";
        "nmi" "nautical mile" = "1852" ucum "[nmi_i]" uom nautical_mile;
        "ft_us" "US survey foot" = "1200/3937" ucum "[ft_us]" rounded foot_survey;
    }
    area [AREA] {
        "m2" "square metre" = "1" ucum "m2" uom square_meter;
        "km2" "square kilometre" = "1e6" ucum "km2" uom square_kilometer;
        "cm2" "square centimetre" = "1e-4" ucum "cm2" uom square_centimeter;
        "mm2" "square millimetre" = "1e-6" ucum "mm2" uom square_millimeter also "sqmm";
        "um2" "square micrometre" = "1e-12" ucum "um2" uom square_micrometer;
        "in2" "square inch" = "in^2" ucum "[sin_i]" uom square_inch also "sqin";
        "ft2" "square foot" = "ft^2" ucum "[sft_i]" uom square_foot also "sqft";
        "yd2" "square yard" = "yd^2" ucum "[syd_i]" uom square_yard;
        "cmil" "circular mil" = "pi/4*in^2*1e-6" ucum "[cml_i]" rounded circular_mil;
        "kcmil" "thousand circular mils" = "pi/4*in^2*1e-3" ucum "k[cml_i]" also "MCM";
        "ha" "hectare" = "10000" ucum "har" uom hectare;
    }
    volume [VOLUME] {
        "m3" "cubic metre" = "1" ucum "m3" uom cubic_meter;
        "dm3" "cubic decimetre" = "1e-3" ucum "dm3" uom cubic_decimeter;
        "cm3" "cubic centimetre" = "1e-6" ucum "cm3" uom cubic_centimeter also "cc" "ccm";
        "mm3" "cubic millimetre" = "1e-9" ucum "mm3" uom cubic_millimeter;
        "L" "litre" = "1e-3" ucum "L" uom liter also "l" "litre" "litres" "liter" "liters";
        "dL" "decilitre" = "1e-4" ucum "dL" uom deciliter also "dl";
        "cL" "centilitre" = "1e-5" ucum "cL" uom centiliter also "cl";
        "mL" "millilitre" = "1e-6" ucum "mL" uom milliliter also "ml";
        "uL" "microlitre" = "1e-9" ucum "uL" uom microliter also "ul";
        "in3" "cubic inch" = "in^3" ucum "[cin_i]" rounded cubic_inch also "cuin" "ci" "cid";
        "ft3" "cubic foot" = "ft^3" ucum "[cft_i]" rounded cubic_foot also "cuft";
        "yd3" "cubic yard" = "yd^3" ucum "[cyd_i]" rounded cubic_yard;
        "US_gal" "US gallon" = "gal" ucum "[gal_us]" rounded gallon also "usgal" "gal" "USgal" "gal_us";
        "US_qt" "US liquid quart" = "gal/4" ucum "[qt_us]" rounded quart_liquid also "usqt" "qt" "USqt" "qt_us";
        "US_pt" "US liquid pint" = "gal/8" ucum "[pt_us]" rounded pint_liquid also "uspt" "pt" "USpt" "pt_us";
        "US_cup" "US cup" = "gal/16" ucum "[cup_us]" rounded cup also "cup" "cups";
        "US_floz" "US fluid ounce" = "gal/128" ucum "[foz_us]" rounded fluid_ounce also "usfloz" "floz" "USfloz" "floz_us";
        "tbsp" "US tablespoon" = "gal/256" ucum "[tbs_us]" rounded tablespoon;
        "tsp" "US teaspoon" = "gal/768" ucum "[tsp_us]" rounded teaspoon;
        "imp_gal" "imperial gallon" = "imp" ucum "[gal_br]" uom gallon_imperial also "impgal" "UKgal" "gal_uk" "gal_imp";
        "imp_qt" "imperial quart" = "imp/4" ucum "[qt_br]" also "impqt" "UKqt" "qt_uk" "qt_imp";
        "imp_pt" "imperial pint" = "imp/8" ucum "[pt_br]" also "imppt" "UKpt" "pt_uk" "pt_imp";
        "imp_floz" "imperial fluid ounce" = "imp/160" ucum "[foz_br]" rounded fluid_ounce_imperial also "impfloz" "UKfloz" "floz_uk" "floz_imp";
        "bbl" "barrel of 42 US gallons" = "gal*42" ucum "[bbl_us]" rounded barrel;
    }
    time [TIME] {
        "s" "second" = "1" ucum "s" uom second also "sec" "secs" "second" "seconds";
        "ms" "millisecond" = "1e-3" ucum "ms" uom millisecond also "msec";
        "us" "microsecond" = "1e-6" ucum "us" uom microsecond also "usec";
        "ns" "nanosecond" = "1e-9" ucum "ns" uom nanosecond;
        "min" "minute" = "60" ucum "min" uom minute also "mins" "minute" "minutes";
        "h" "hour" = "3600" ucum "h" uom hour also "hr" "hrs" "hour" "hours";
        "d" "day" = "86400" ucum "d" uom day also "day" "days";
        "wk" "week" = "604800" ucum "wk" also "week" "weeks";
        "month" "month, a twelfth of a year" = "2629800" ucum "mo" also "months";
        "year" "year of 365.25 days" = "31557600" ucum "a" also "years" "yr";
    }
    angle [ANGLE] {
        "rad" "radian" = "1" ucum "rad" uom radian also "radian" "radians";
        "mrad" "milliradian" = "1e-3" ucum "mrad";
        "deg" "degree of angle" = "pi/180" ucum "deg" uom degree also "°" "degree" "degrees";
        "arcmin" "minute of arc" = "pi/10800" ucum "'" uom minute also "′";
        "arcsec" "second of arc" = "pi/648000" ucum "''" uom second;
        "rev" "turn" = "2*pi" ucum "circ" uom revolution also "turn" "turns" "revolution" "revolutions";
        "gon" "gon" = "pi/200" ucum "gon" uom gon;
    }
    velocity [SPEED] {
        "m/s" "metre per second" = "1" ucum "m/s" uom meter_per_second;
        "cm/s" "centimetre per second" = "0.01" ucum "cm/s" uom centimeter_per_second;
        "mm/s" "millimetre per second" = "1e-3" ucum "mm/s" uom millimeter_per_second;
        "m/min" "metre per minute" = "1/60" ucum "m/min";
        "mm/min" "millimetre per minute" = "1e-3/60" ucum "mm/min" uom millimeter_per_minute;
        "km/h" "kilometre per hour" = "1/3.6" ucum "km/h" uom kilometer_per_hour also "kph" "kmh" "km/hr";
        "mph" "mile per hour" = "mi/3600" ucum "[mi_i]/h" uom mile_per_hour also "mi/h" "MPH";
        "ft/s" "foot per second" = "ft" ucum "[ft_i]/s" uom foot_per_second also "fps";
        "ft/min" "foot per minute" = "ft/60" ucum "[ft_i]/min" uom foot_per_minute also "fpm";
        "in/s" "inch per second" = "in" ucum "[in_i]/s" uom inch_per_second also "ips";
        "in/min" "inch per minute" = "in/60" ucum "[in_i]/min" uom inch_per_minute also "ipm";
        "kn" "knot" = "1852/3600" ucum "[kn_i]" uom knot also "knot" "knots";
    }
    acceleration [ACCELERATION] {
        "m/s2" "metre per second squared" = "1" ucum "m/s2" uom meter_per_second_squared;
        "cm/s2" "centimetre per second squared" = "0.01" ucum "cm/s2" uom centimeter_per_second_squared;
        "mm/s2" "millimetre per second squared" = "1e-3" ucum "mm/s2" uom millimeter_per_second_squared;
        "ft/s2" "foot per second squared" = "ft" ucum "[ft_i]/s2" uom foot_per_second_squared;
        "in/s2" "inch per second squared" = "in" ucum "[in_i]/s2" uom inch_per_second_squared;
        "gn" "standard gravity" = "gn" ucum "[g]" uom standard_gravity also "g0" "g_n";
    }
    // Coherent is the radian per second, as in the SI, uom and UCUM: so torque times rotational speed
    // is power, and a voltage per speed or a volume per turn composes whether it is written with
    // rpm, rev or rad. Pi is carried apart from the fraction, so 1200 rpm is exactly 20 rev/s.
    angular_velocity [ROTATIONAL_SPEED] {
        "rad/s" "radian per second" = "1" ucum "rad/s" uom radian_per_second;
        "deg/s" "degree per second" = "pi/180" ucum "deg/s" uom degree_per_second also "dps";
        "rev/s" "turn per second" = "2*pi" ucum "circ/s" uom revolution_per_second also "rps" "r/s";
        "rpm" "turn per minute" = "pi/30" ucum "circ/min" uom revolution_per_minute also "RPM" "rev/min" "r/min";
        "krpm" "thousand turns per minute" = "pi/30*1000" ucum "10*3.circ/min" also "kRPM" "krev/min";
    }
    angular_acceleration [ANGULAR_ACCELERATION] {
        "rad/s2" "radian per second squared" = "1" ucum "rad/s2" uom radian_per_second_squared;
        "deg/s2" "degree per second squared" = "pi/180" ucum "deg/s2" uom degree_per_second_squared;
        "rpm/s" "turn per minute per second" = "pi/30" ucum "circ/min/s";
    }
    frequency [FREQUENCY] {
        "Hz" "hertz" = "1" ucum "Hz" uom hertz also "hertz" "cps";
        "mHz" "millihertz" = "1e-3" ucum "mHz" uom millihertz;
        "kHz" "kilohertz" = "1e3" ucum "kHz" uom kilohertz;
        "MHz" "megahertz" = "1e6" ucum "MHz" uom megahertz;
        "GHz" "gigahertz" = "1e9" ucum "GHz" uom gigahertz;
    }
}
