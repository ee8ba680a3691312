//! The session at the machine as the command runs it. Read in this order: [`lines`] (where the lines
//! come from), [`told`] (how paragraphs are shown), [`clock`], [`files`] (where a job lies).

pub mod clock;
pub mod files;
pub mod kept;
pub mod lines;
pub mod told;
