//! Conformity of a measured quantity with a limit (JCGM 106:2012, ISO 14253-1:2017).
