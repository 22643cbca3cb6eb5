//! Sun and shadow on the field of play, in stops, camera by camera.

pub mod camera;
pub mod cli;
pub mod fit;
pub mod frame;
pub mod geometry;
pub mod import;
pub mod light;
pub mod plan;
pub mod plane;
pub mod render;
pub mod report;
pub mod season;
pub mod solar;
pub mod starts;
pub mod units;
pub mod venue;
pub mod weather;
