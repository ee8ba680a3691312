//! From the tree to a checked spec, or findings: names, kinds, constants, lints.
