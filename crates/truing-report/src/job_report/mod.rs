//! One job from complaint to proof, for its customer, its warranty clerk and the next technician:
//! HTML that stands by itself, Markdown, JSON.
//!
//! Read in this order: [`report`] (what it is made from), [`view`] and [`family_view`] (the report as data, which
//! all forms are written from), [`text`] (what may stand in it), then from findings to the view
//! `build`, `families`, `summary`, `stages`, `record`, [`photo`],
//! `first_page`, and from the view to documents
//! [`scale`], [`bars`], [`curve`] (what is drawn), [`html`], [`markdown`].

pub mod bars;
mod build;
pub mod curve;
mod families;
pub mod family_view;
mod first_page;
pub mod html;
pub mod markdown;
pub mod photo;
mod record;
pub mod report;
pub mod scale;
mod stages;
mod summary;
pub mod text;
pub mod view;

pub use build::job_view;
pub(crate) use html::TEMPLATES;
pub use html::{NotWritten, job_html};
pub use markdown::job_markdown;
pub use photo::{MOST_BYTES_OF_A_PHOTO, MOST_BYTES_OF_ALL_PHOTOS, Picture};
pub use report::JobReport;
pub use view::JobView;
