//! Stage 7, `render`: pictures.
//!
//! In: a venue and a [`crate::plan::MatchPlan`]. Out: SVG text and PNG bytes.
//! Pure: no clock, no files, no system fonts.
