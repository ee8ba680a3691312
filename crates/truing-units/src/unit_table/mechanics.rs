//! Mass, force, torque and springs.

use super::*;

units! {
    mass [MASS] {
        "kg" "kilogram" = "1" ucum "kg" uom kilogram also "kilogram" "kilograms";
        "g" "gram" = "1e-3" ucum "g" uom gram also "gram" "grams";
        "mg" "milligram" = "1e-6" ucum "mg" uom milligram;
        "ug" "microgram" = "1e-9" ucum "ug" uom microgram;
        "t" "tonne" = "1000" ucum "t" uom ton also "tonne" "tonnes";
        "lb" "pound" = "lb" ucum "[lb_av]" rounded pound also "lbs" "lbm" "pound" "pounds";
        "oz" "ounce" = "lb/16" ucum "[oz_av]" rounded ounce also "ounce" "ounces";
        "gr" "grain" = "lb/7000" ucum "[gr]" uom grain;
        "slug" "slug" = "lb*gn/ft" rounded slug;
        "ton_us" "short ton" = "lb*2000" ucum "[ston_av]" rounded ton_short also "short_ton";
        "ton_uk" "long ton" = "lb*2240" ucum "[lton_av]" rounded ton_long also "long_ton";
    }
    mass_density [DENSITY] {
        "kg/m3" "kilogram per cubic metre" = "1" ucum "kg/m3" uom kilogram_per_cubic_meter;
        "g/cm3" "gram per cubic centimetre" = "1000" ucum "g/cm3" uom gram_per_cubic_centimeter also "g/cc";
        "g/mL" "gram per millilitre" = "1000" ucum "g/mL" also "g/ml";
        "kg/L" "kilogram per litre" = "1000" ucum "kg/L" also "kg/l" "kg/dm3";
        "g/L" "gram per litre" = "1" ucum "g/L" also "g/l";
        "lb/ft3" "pound per cubic foot" = "lb/ft^3" ucum "[lb_av]/[cft_i]" rounded pound_per_cubic_foot;
        "lb/in3" "pound per cubic inch" = "lb/in^3" ucum "[lb_av]/[cin_i]" rounded pound_per_cubic_inch;
        "lb/US_gal" "pound per US gallon" = "lb/gal" ucum "[lb_av]/[gal_us]" rounded pound_per_gallon also "lb/gal";
        "oz/in3" "ounce per cubic inch" = "lb/16/in^3" ucum "[oz_av]/[cin_i]" rounded ounce_per_cubic_inch;
    }
    linear_mass_density [LINEAR_DENSITY] {
        "kg/m" "kilogram per metre" = "1" ucum "kg/m" uom kilogram_per_meter;
        "g/m" "gram per metre" = "1e-3" ucum "g/m";
        "kg/km" "kilogram per kilometre" = "1e-3" ucum "kg/km";
        "lb/ft" "pound per foot" = "lb/ft" ucum "[lb_av]/[ft_i]" rounded pound_per_foot;
        "lb/yd" "pound per yard" = "lb/yd" ucum "[lb_av]/[yd_i]" rounded pound_per_yard;
    }
    moment_of_inertia [MOMENT_OF_INERTIA] {
        "kg.m2" "kilogram square metre" = "1" ucum "kg.m2" uom kilogram_square_meter;
        "kg.cm2" "kilogram square centimetre" = "1e-4" ucum "kg.cm2";
        "g.cm2" "gram square centimetre" = "1e-7" ucum "g.cm2";
        "lb.ft2" "pound square foot" = "lb*ft^2" ucum "[lb_av].[sft_i]";
        "lb.in2" "pound square inch" = "lb*in^2" ucum "[lb_av].[sin_i]";
    }
    force [FORCE] {
        "N" "newton" = "1" ucum "N" uom newton also "newton" "newtons";
        "mN" "millinewton" = "1e-3" ucum "mN" uom millinewton;
        "daN" "decanewton" = "10" ucum "daN" uom decanewton;
        "kN" "kilonewton" = "1000" ucum "kN" uom kilonewton;
        "MN" "meganewton" = "1e6" ucum "MN" uom meganewton;
        "kgf" "kilogram-force" = "gn" ucum "kgf" uom kilogram_force also "kp";
        "gf" "gram-force" = "gn/1000" ucum "gf" uom gram_force;
        "lbf" "pound-force" = "lb*gn" ucum "[lbf_av]" rounded pound_force;
        "ozf" "ounce-force" = "lb*gn/16" ucum "[lbf_av]/16" rounded ounce_force;
        "kip" "thousand pounds-force" = "lb*gn*1000" ucum "k[lbf_av]" rounded kip also "klbf";
        "pdl" "poundal" = "lb*ft" ucum "[lb_av].[ft_i]/s2" rounded poundal;
        "dyn" "dyne" = "1e-5" ucum "dyn" uom dyne;
    }
    torque [TORQUE] {
        "N.m" "newton metre" = "1" ucum "N.m" uom newton_meter also "Nm" "N-m" "m.N";
        "mN.m" "millinewton metre" = "1e-3" ucum "mN.m" uom millinewton_meter also "mNm";
        "cN.m" "centinewton metre" = "0.01" ucum "cN.m" uom centinewton_meter also "cNm";
        "dN.m" "decinewton metre" = "0.1" ucum "dN.m" uom decinewton_meter also "dNm";
        "daN.m" "decanewton metre" = "10" ucum "daN.m" uom decanewton_meter also "daNm";
        "kN.m" "kilonewton metre" = "1000" ucum "kN.m" uom kilonewton_meter also "kNm";
        "N.cm" "newton centimetre" = "0.01" ucum "N.cm" uom newton_centimeter also "Ncm" "N-cm";
        "N.mm" "newton millimetre" = "1e-3" ucum "N.mm" uom newton_millimeter also "Nmm" "N-mm";
        "kgf.m" "kilogram-force metre" = "gn" ucum "kgf.m" uom kilogram_force_meter also "kgf-m" "kgfm" "m.kgf" "kp.m";
        "kgf.cm" "kilogram-force centimetre" = "gn/100" ucum "kgf.cm" also "kgf-cm" "kgfcm" "cm.kgf";
        "gf.cm" "gram-force centimetre" = "gn*1e-5" ucum "gf.cm" also "gf-cm";
        "lbf.ft" "pound-force foot" = "lb*gn*ft" ucum "[lbf_av].[ft_i]" rounded pound_force_foot
            also "ft.lbf" "lbf-ft" "ft-lbf" "lb-ft" "ft-lb" "lb.ft" "ft.lb" "ft-lbs" "ft.lbs" "lbs-ft" "ftlb" "lbft";
        "lbf.in" "pound-force inch" = "lb*gn*in" ucum "[lbf_av].[in_i]" rounded pound_force_inch
            also "in.lbf" "lbf-in" "in-lbf" "lb-in" "in-lb" "lb.in" "in.lb" "in-lbs" "in.lbs" "lbs-in" "inlb" "lbin";
        "ozf.in" "ounce-force inch" = "lb*gn/16*in" ucum "[lbf_av].[in_i]/16" rounded ounce_force_inch
            also "in.ozf" "ozf-in" "in-ozf" "oz-in" "in-oz" "oz.in" "in.oz";
    }
    [0 1 -2 0 0 0 0] [STIFFNESS] {
        "N/m" "newton per metre" = "1" ucum "N/m";
        "kN/m" "kilonewton per metre" = "1000" ucum "kN/m";
        "N/mm" "newton per millimetre" = "1000" ucum "N/mm";
        "N/cm" "newton per centimetre" = "100" ucum "N/cm";
        "kgf/mm" "kilogram-force per millimetre" = "gn*1000" ucum "kgf/mm";
        "kgf/cm" "kilogram-force per centimetre" = "gn*100" ucum "kgf/cm";
        "lbf/in" "pound-force per inch" = "lb*gn/in" ucum "[lbf_av]/[in_i]" also "lb/in" "lbs/in" "ppi";
        "lbf/ft" "pound-force per foot" = "lb*gn/ft" ucum "[lbf_av]/[ft_i]";
    }
    torque [ANGULAR_STIFFNESS] {
        "N.m/rad" "newton metre per radian" = "1" ucum "N.m/rad" also "Nm/rad";
        "N.m/deg" "newton metre per degree" = "180/pi" ucum "N.m/deg" also "Nm/deg" "N.m/°" "Nm/°";
        "kgf.m/deg" "kilogram-force metre per degree" = "gn*180/pi" ucum "kgf.m/deg";
        "lbf.ft/deg" "pound-force foot per degree" = "lb*gn*ft*180/pi" ucum "[lbf_av].[ft_i]/deg";
        "lbf.in/deg" "pound-force inch per degree" = "lb*gn*in*180/pi" ucum "[lbf_av].[in_i]/deg";
    }
}
