//! One spelling for each unit symbol, and the look-alikes that must not be guessed.

/// Rewrites the signs that print and keyboards vary on into the catalogue's ASCII spelling.
///
/// Both micro signs (U+00B5, U+03BC) become `u`, both ohm signs (U+2126, U+03A9) `ohm`, `°C` and `℃`
/// `degC`, every raised point and `*` a point, superscripts and `^2` plain digits.
pub(crate) fn normalise(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for sign in text.trim().chars() {
        match sign {
            '*' => plain.push('.'),
            '^' => {}
            _ if sign.is_ascii() => plain.push(sign),
            '\u{00B5}' | '\u{03BC}' => plain.push('u'),
            '\u{2126}' | '\u{03A9}' => plain.push_str("ohm"),
            '℃' => plain.push_str("degC"),
            '℉' => plain.push_str("degF"),
            '°' | 'º' | '˚' => plain.push_str("deg"),
            '\u{212A}' => plain.push('K'),
            '·' | '⋅' | '∙' | '•' | '×' => plain.push('.'),
            '∕' | '⁄' | '÷' => plain.push('/'),
            '⁻' | '−' | '‐' | '‑' | '–' => plain.push('-'),
            _ => plain.push(superscript(sign).unwrap_or(sign)),
        }
    }
    plain
}

fn superscript(sign: char) -> Option<char> {
    "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().zip('0'..='9').find(|(raised, _)| *raised == sign).map(|(_, digit)| digit)
}

/// A spelling that stands for something else than it says, or for more than one thing.
pub(crate) struct LookAlike {
    /// What may have been meant, as symbols of the catalogue.
    pub meant: Vec<String>,
    /// Why it is not taken as written.
    pub why: &'static str,
}

const MASS_FOR_FORCE: &str = "kg is a mass; a torque or pressure needs the force, kgf";
const KELVIN_PREFIX: &str = "K is kelvin; the prefix kilo is a small k";
const WHICH_GALLON: &str = "the US and the imperial gallon differ by a fifth";
const PEAK_TO_PEAK: &str = "peak to peak is twice the peak only where the wave is symmetrical";
const WIRE_GAUGE: &str =
    "a wire gauge is a number on a scale, not a unit: give the diameter or the area";
const PER_MINUTE: &str = "it does not say turns or events";
const OLD_PREFIX: &str = "m is milli in one text and micro in another";

/// Spellings, already normalised, that are refused with what may have been meant.
pub(crate) const LOOK_ALIKES: [(&[&str], &[&str], &str); 13] = [
    (
        &["kg.m", "kg-m", "kgm", "m.kg", "m-kg", "kg.M", "Kg.m", "Kg-m", "KG-M"],
        &["kgf.m"],
        MASS_FOR_FORCE,
    ),
    (&["kg.cm", "kg-cm", "kgcm", "cm.kg", "Kg-cm"], &["kgf.cm"], MASS_FOR_FORCE),
    (&["g.cm", "g-cm", "gcm"], &["gf.cm"], MASS_FOR_FORCE),
    (&["kg/cm2", "Kg/cm2", "KG/CM2", "kgcm2", "ksc"], &["kgf/cm2"], MASS_FOR_FORCE),
    (&["kg/mm2", "Kg/mm2"], &["kgf/mm2"], MASS_FOR_FORCE),
    (&["kg/mm"], &["kgf/mm"], MASS_FOR_FORCE),
    (&["mpg", "MPG"], &["mpg_us", "mpg_uk"], WHICH_GALLON),
    (&["Vpp", "Vp-p", "V_pp", "Vpkpk", "mVpp"], &["Vp"], PEAK_TO_PEAK),
    (&["AWG", "awg", "SWG", "swg"], &["mm", "mm2"], WIRE_GAUGE),
    (&["1/min", "/min", "min-1", "cpm"], &["rpm", "Hz"], PER_MINUTE),
    (&["mfd", "MFD", "mfD"], &["uF"], OLD_PREFIX),
    (&["ton", "tons", "TON"], &["t", "ton_us", "ton_uk"], "three different tons are in use"),
    (&["ps", "Ps"], &["PS"], "ps is a picosecond; metric horsepower is PS"),
];

/// The look-alike that a normalised spelling is, if any. `known` says whether a symbol exists.
pub(crate) fn look_alike(plain: &str, known: impl Fn(&str) -> bool) -> Option<LookAlike> {
    for (spellings, meant, why) in LOOK_ALIKES {
        if spellings.contains(&plain) {
            return Some(LookAlike { meant: meant.iter().map(|m| (*m).to_owned()).collect(), why });
        }
    }
    // A capital K before a known unit: Kohm, KV, KHz, KPa.
    let rest = plain.strip_prefix('K')?;
    let meant = format!("k{rest}");
    (!rest.is_empty() && known(&meant))
        .then(|| LookAlike { meant: vec![meant], why: KELVIN_PREFIX })
}

/// The name among `names` that is most like `text`: equal but for case first, then by edit
/// distance, at most one change in three letters.
pub(crate) fn nearest<'a>(text: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let length = text.chars().count();
    let folded = text.to_lowercase();
    let mut best: Option<(usize, &str)> = None;
    for name in names {
        // Distances count twice, so that case alone counts for half a change.
        let other = name.chars().count();
        let allowed = (2 * length.max(other).div_ceil(3)).min(4);
        if 2 * length.abs_diff(other) > allowed {
            continue; // the distance is at least the difference in length
        }
        let distance = match name.eq_ignore_ascii_case(text) {
            true => 0,
            false => {
                strsim::damerau_levenshtein(text, name)
                    + strsim::damerau_levenshtein(&folded, &name.to_lowercase())
            }
        };
        if distance <= allowed && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, name));
        }
    }
    // Of one or two letters and a change too little is left to go by.
    best.filter(|(distance, _)| *distance == 0 || length > 2).map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_that_look_alike_become_one() {
        for (printed, plain) in [
            ("\u{00B5}V", "uV"),
            ("\u{03BC}V", "uV"),
            ("k\u{2126}", "kohm"),
            ("k\u{03A9}", "kohm"),
            ("°C", "degC"),
            ("℃", "degC"),
            ("N·m", "N.m"),
            ("N⋅m", "N.m"),
            ("N*m", "N.m"),
            ("kgf/cm²", "kgf/cm2"),
            ("m/s^2", "m/s2"),
            ("s⁻¹", "s-1"),
            (" mm ", "mm"),
        ] {
            assert_eq!(normalise(printed), plain, "{printed}");
        }
    }

    #[test]
    fn a_capital_k_is_not_kilo() {
        let known = |name: &str| name == "kohm";
        assert_eq!(look_alike("Kohm", known).unwrap().meant, ["kohm"]);
        assert!(look_alike("K", known).is_none());
        assert!(look_alike("Kfoo", known).is_none());
    }

    #[test]
    fn nearest_prefers_a_difference_in_case() {
        let names = ["MV", "mV", "mA", "kPa"];
        assert_eq!(nearest("KPA", names.into_iter()), Some("kPa"));
        assert_eq!(nearest("mv", names.into_iter()), Some("MV"));
        assert_eq!(nearest("kPas", names.into_iter()), Some("kPa"));
        assert_eq!(nearest("zebra", names.into_iter()), None);
        assert_eq!(nearest("x", names.into_iter()), None);
    }
}
