//! Plain numbers and levels.

use super::*;

units! {
    ratio [RATIO COUNT] {
        "1" "one" = "1" ucum "1" uom ratio;
    }
    ratio [RATIO] {
        "%" "percent" = "0.01" ucum "%" uom percent also "percent" "pct";
        "permille" "per mille" = "0.001" ucum "[ppth]" uom per_mille also "‰";
        "ppm" "part per million" = "1e-6" ucum "[ppm]" uom part_per_million;
        "ppb" "part per billion" = "1e-9" ucum "[ppb]" uom part_per_billion;
    }
    // A level is the logarithm of a ratio; its figures are points, never converted to one another.
    ratio [SOUND_LEVEL LEVEL_DIFFERENCE] {
        "dB" "decibel" = "1" also "decibel" "decibels";
    }
    ratio [SOUND_LEVEL] {
        "dBA" "decibel, A-weighted" = "1";
        "dBC" "decibel, C-weighted" = "1";
    }
}
