//! Light.

use super::*;

units! {
    luminous_intensity [LUMINOUS_INTENSITY] {
        "cd" "candela" = "1" ucum "cd" uom candela also "candela" "candelas";
        "mcd" "millicandela" = "1e-3" ucum "mcd" uom millicandela;
        "kcd" "kilocandela" = "1000" ucum "kcd" uom kilocandela;
    }
    [0 0 0 0 0 0 1] [LUMINOUS_FLUX] {
        "lm" "lumen" = "1" ucum "lm" also "lumen" "lumens";
        "klm" "kilolumen" = "1000" ucum "klm";
    }
    illuminance [ILLUMINANCE] {
        "lx" "lux" = "1" ucum "lx" uom lux also "lux";
        "mlx" "millilux" = "1e-3" ucum "mlx" uom millilux;
        "klx" "kilolux" = "1000" ucum "klx" uom kilolux;
        "fc" "footcandle" = "1/ft^2" ucum "lm/[sft_i]" rounded footcandle;
    }
    luminance [LUMINANCE] {
        "cd/m2" "candela per square metre" = "1" ucum "cd/m2" uom candela_per_square_meter also "nit" "nits";
        "cd/ft2" "candela per square foot" = "1/ft^2" ucum "cd/[sft_i]" uom candela_per_square_foot;
    }
}
