//! Means and spreads of repeated readings (JCGM 100:2008, 4.2).
