//! The unit atoms of UCUM that measure something the catalogue knows.
//!
//! From the table of the UCUM specification (section 4), with its definitions as exact products.
//! Where UCUM and NIST differ, UCUM's value is the one here: its metre of mercury is 133.3220 kPa.
//! Left out: arbitrary units, logarithms, units of clinical chemistry, and units whose value rests on
//! a measurement.

use crate::Dimension;

/// One unit atom.
#[derive(Copy, Clone)]
pub(crate) struct Atom {
    /// Whether it takes prefixes.
    pub metric: bool,
    /// Its worth in the coherent unit; the form is that of the unit tables.
    pub definition: &'static str,
    /// What it measures.
    pub dimension: Dimension,
}

/// Atoms of one dimension: `(code, metric, definition)`.
type Group = ([i8; 7], &'static [(&'static str, bool, &'static str)]);

/// The atom of that code.
pub(crate) fn find(code: &str) -> Option<Atom> {
    GROUPS.iter().find_map(|(powers, atoms)| {
        let (_, metric, definition) = atoms.iter().find(|(known, ..)| *known == code)?;
        Some(Atom { metric: *metric, definition, dimension: Dimension(*powers) })
    })
}

#[rustfmt::skip]
const GROUPS: &[Group] = &[
    ([0, 0, 0, 0, 0, 0, 0], &[
        ("10*", false, "10"), ("10^", false, "10"), ("[pi]", false, "pi"), ("%", false, "0.01"),
        ("[ppth]", false, "0.001"), ("[ppm]", false, "1e-6"), ("[ppb]", false, "1e-9"), ("[pptr]", false, "1e-12"),
        ("rad", true, "1"), ("sr", true, "1"), ("gon", false, "pi/200"), ("deg", false, "pi/180"),
        ("'", false, "pi/10800"), ("''", false, "pi/648000"), ("circ", false, "2*pi"), ("sph", false, "4*pi"),
    ]),
    ([1, 0, 0, 0, 0, 0, 0], &[
        ("m", true, "1"), ("Ao", false, "1e-10"), ("[ly]", true, "299792458*31557600"),
        ("[in_i]", true, "in"), ("[ft_i]", true, "ft"), ("[yd_i]", true, "yd"), ("[mi_i]", true, "mi"),
        ("[fth_i]", true, "6*ft"), ("[nmi_i]", true, "1852"), ("[mil_i]", true, "in/1000"), ("[hd_i]", false, "4*in"),
        ("[in_us]", false, "100/3937"), ("[ft_us]", false, "1200/3937"), ("[yd_us]", false, "3600/3937"),
        ("[mi_us]", false, "6336000/3937"), ("[rd_us]", false, "19800/3937"), ("[mil_us]", false, "0.1/3937"),
    ]),
    ([2, 0, 0, 0, 0, 0, 0], &[
        ("ar", true, "100"), ("[sin_i]", false, "in^2"), ("[sft_i]", false, "ft^2"), ("[syd_i]", false, "yd^2"),
        ("[cml_i]", true, "pi/4*in^2*1e-6"), ("[acr_us]", false, "43560*1200/3937*1200/3937"),
    ]),
    ([3, 0, 0, 0, 0, 0, 0], &[
        ("L", true, "1e-3"), ("l", true, "1e-3"), ("st", true, "1"),
        ("[cin_i]", false, "in^3"), ("[cft_i]", false, "ft^3"), ("[cyd_i]", false, "yd^3"), ("[bf_i]", false, "144*in^3"),
        ("[gal_us]", false, "gal"), ("[bbl_us]", false, "gal*42"), ("[qt_us]", false, "gal/4"), ("[pt_us]", false, "gal/8"),
        ("[gil_us]", false, "gal/32"), ("[foz_us]", false, "gal/128"), ("[fdr_us]", false, "gal/1024"),
        ("[tbs_us]", false, "gal/256"), ("[tsp_us]", false, "gal/768"), ("[cup_us]", false, "gal/16"),
        ("[foz_m]", false, "30e-6"), ("[cup_m]", false, "240e-6"), ("[tsp_m]", false, "5e-6"), ("[tbs_m]", false, "15e-6"),
        ("[gal_wi]", false, "268.8025*in^3"), ("[bu_us]", false, "2150.42*in^3"),
        ("[gal_br]", false, "imp"), ("[qt_br]", false, "imp/4"), ("[pt_br]", false, "imp/8"), ("[gil_br]", false, "imp/32"),
        ("[foz_br]", false, "imp/160"), ("[pk_br]", false, "imp*2"), ("[bu_br]", false, "imp*8"),
    ]),
    ([0, 1, 0, 0, 0, 0, 0], &[
        ("g", true, "1e-3"), ("t", true, "1000"), ("[car_m]", true, "2e-4"), ("[gr]", false, "lb/7000"),
        ("[lb_av]", false, "lb"), ("[oz_av]", false, "lb/16"), ("[dr_av]", false, "lb/256"), ("[stone_av]", false, "lb*14"),
        ("[scwt_av]", false, "lb*100"), ("[lcwt_av]", false, "lb*112"), ("[ston_av]", false, "lb*2000"),
        ("[lton_av]", false, "lb*2240"), ("[oz_tr]", false, "lb/7000*480"), ("[lb_tr]", false, "lb/7000*5760"),
        ("[pwt_tr]", false, "lb/7000*24"),
    ]),
    ([0, 0, 1, 0, 0, 0, 0], &[
        ("s", true, "1"), ("min", false, "60"), ("h", false, "3600"), ("d", false, "86400"), ("wk", false, "604800"),
        ("a_j", false, "31557600"), ("a", false, "31557600"), ("mo_j", false, "2629800"), ("mo", false, "2629800"),
    ]),
    ([0, 0, 0, 1, 0, 0, 0], &[("A", true, "1"), ("Bi", true, "10"), ("Gb", true, "2.5/pi")]),
    ([0, 0, 0, 0, 1, 0, 0], &[("K", true, "1"), ("[degR]", false, "5/9")]),
    ([0, 0, 0, 0, 0, 1, 0], &[("mol", true, "1")]),
    ([0, 0, 0, 0, 0, 0, 1], &[("cd", true, "1"), ("lm", true, "1")]),
    ([0, 0, -1, 0, 0, 0, 0], &[("Hz", true, "1"), ("Bq", true, "1")]),
    ([1, 0, -1, 0, 0, 0, 0], &[("[kn_i]", true, "1852/3600"), ("[c]", true, "299792458")]),
    ([1, 0, -2, 0, 0, 0, 0], &[("[g]", true, "gn"), ("Gal", true, "0.01")]),
    ([1, 1, -2, 0, 0, 0, 0], &[("N", true, "1"), ("gf", true, "gn/1000"), ("[lbf_av]", true, "lb*gn"), ("dyn", true, "1e-5")]),
    ([-1, 1, -2, 0, 0, 0, 0], &[
        ("Pa", true, "1"), ("bar", true, "1e5"), ("atm", false, "101325"), ("att", false, "gn*1e4"),
        ("[psi]", true, "lb*gn/in^2"), ("m[Hg]", true, "133322"), ("m[H2O]", true, "gn*1000"),
        ("[in_i'Hg]", false, "133322*in"), ("[in_i'H2O]", false, "gn*in*1000"),
    ]),
    ([2, 1, -2, 0, 0, 0, 0], &[
        ("J", true, "1"), ("erg", true, "1e-7"), ("eV", true, "1.602176634e-19"), ("cal", true, "cal"), ("cal_th", true, "cal"),
        ("cal_IT", true, "4.1868"), ("[Cal]", false, "cal*1000"), ("[Btu_IT]", false, "btu"),
        ("[Btu_th]", false, "cal*lb*1000*5/9"), ("[Btu]", false, "cal*lb*1000*5/9"),
    ]),
    ([2, 1, -3, 0, 0, 0, 0], &[("W", true, "1"), ("[HP]", false, "lb*gn*ft*550")]),
    ([2, 0, -2, 0, 0, 0, 0], &[("Gy", true, "1"), ("Sv", true, "1"), ("RAD", true, "0.01"), ("REM", true, "0.01")]),
    ([-1, 1, -1, 0, 0, 0, 0], &[("P", true, "0.1")]),
    ([2, 0, -1, 0, 0, 0, 0], &[("St", true, "1e-4")]),
    ([0, 0, 1, 1, 0, 0, 0], &[("C", true, "1")]),
    ([2, 1, -3, -1, 0, 0, 0], &[("V", true, "1")]),
    ([-2, -1, 4, 2, 0, 0, 0], &[("F", true, "1")]),
    ([2, 1, -3, -2, 0, 0, 0], &[("Ohm", true, "1")]),
    ([-2, -1, 3, 2, 0, 0, 0], &[("S", true, "1"), ("mho", true, "1")]),
    ([2, 1, -2, -1, 0, 0, 0], &[("Wb", true, "1"), ("Mx", true, "1e-8")]),
    ([0, 1, -2, -1, 0, 0, 0], &[("T", true, "1"), ("G", true, "1e-4")]),
    ([2, 1, -2, -2, 0, 0, 0], &[("H", true, "1")]),
    ([1, 1, -2, -2, 0, 0, 0], &[("[mu_0]", true, "4e-7*pi")]),
    ([-1, 0, 0, 1, 0, 0, 0], &[("Oe", true, "250/pi")]),
    ([-2, 0, 0, 0, 0, 0, 1], &[("lx", true, "1"), ("ph", false, "1e4"), ("sb", true, "1e4"), ("Lmb", true, "1e4/pi")]),
];
