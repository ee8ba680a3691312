//! Distributions of errors and of their sums (JCGM 100:2008, JCGM 101:2008).
