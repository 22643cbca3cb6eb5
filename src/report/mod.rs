//! Stage 7, `report`: data and text.
//!
//! In: a venue and a [`crate::plan::MatchPlan`]. Out: CSV, JSON, the printed
//! summary, and files that appear whole or not at all.
