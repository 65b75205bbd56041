//! Number charts: text to model and back, and the chart unrolled in time.

pub mod timeline;
