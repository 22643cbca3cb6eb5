//! Bringing data in: what others have measured or drawn becomes text of a venue
//! file.
//!
//! In: files of others: outlines as GeoJSON, skylines as CSV, terrain as tiles,
//! models of stands.
//! Out: text of a venue file, which people read and mend before they plan with
//! it, and a list of all that was left out or taken for granted. Nothing here
//! goes past the venue file: planning never sees a file of others.

pub mod geodesy;
pub mod horizon;
pub mod mesh;
pub mod outlines;
pub mod write;
