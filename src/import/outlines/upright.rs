//! Walls, masts and trees.
//!
//! In: lines and points of features, in field axes. Out: upright panels, columns and
//! trees, with what was taken for granted about them.

use geo::Polygon;

use crate::base::plane::P2;
use crate::import::geodesy::Geographic;

use super::build::Of;
use super::footprint::{centimetres, corners, line_distance};
use super::height::{said, stated};
use super::item::{Built, FoundTree, Item, LeafSeason};
use super::kind::FeatureKind;

/// Radius of a mast that does not state its width, metres: common practice, no
/// source.
const MAST_RADIUS_M: f64 = 0.3;
/// Of a tree that states only its height (common practice, no source): width of
/// the crown over height, height of the lowest leaves over height.
const CROWN_WIDTH_SHARE: f64 = 0.5;
const TRUNK_SHARE: f64 = 0.2;
impl Of<'_> {
    pub(super) fn ring_wall(&self, polygon: &Polygon<f64>) -> Result<Built, String> {
        let mut lines = vec![polygon.exterior()];
        lines.extend(polygon.interiors());
        let closed = |ring: &geo::LineString<f64>| {
            let mut line = corners(ring);
            line.extend(line.first().copied());
            line
        };
        let lines: Vec<Vec<P2>> = lines.into_iter().map(closed).collect();
        self.sheets(&lines)
    }

    pub(super) fn wall(&self, line: &[Geographic]) -> Result<Built, String> {
        if !matches!(self.kind, FeatureKind::Wall | FeatureKind::Hedge) {
            return Err("a line that is no wall or hedge".into());
        }
        let line = self.site.axes.line(line).map_err(|e| e.to_string())?;
        self.near(line_distance(&line))?;
        if line.len() < 2 {
            return Err("a line of one point".into());
        }
        self.sheets(&[line])
    }

    /// Upright panels along lines.
    fn sheets(&self, lines: &[Vec<P2>]) -> Result<Built, String> {
        let heights = self.heights(false)?;
        let mut simplified = Vec::new();
        if self.feature.tag("width").is_some() {
            simplified.push(format!("without thickness, {} left out", said(self.feature, "width")));
        }
        let (low, high) = (centimetres(heights.bottom_m), centimetres(heights.top_m));
        let sheet = |pair: &[P2]| {
            let ([a, b], [c, d]) = (pair[0], pair[1]);
            Item::Panel { corners: vec![[a, b, low], [c, d, low], [c, d, high], [a, b, high]] }
        };
        let items = lines.iter().flat_map(|line| line.windows(2)).map(sheet).collect();
        Ok(self.built(items, heights, simplified))
    }

    /// A tree or a mast at a point.
    pub(super) fn upright(&self, at: P2) -> Result<Built, String> {
        self.near(at[0].hypot(at[1]))?;
        match self.kind {
            FeatureKind::Tree => self.tree(at),
            FeatureKind::Mast | FeatureKind::Structure => self.mast(at),
            FeatureKind::Building | FeatureKind::Part | FeatureKind::OpenRoof => {
                Err("a building as a point, without an outline".into())
            }
            _ => Err("a point that is no tree or mast".into()),
        }
    }

    fn mast(&self, centre: P2) -> Result<Built, String> {
        let heights = self.heights(false)?;
        let mut simplified = Vec::new();
        let mut width = None;
        for key in ["diameter", "width"] {
            width = match width {
                None => stated(self.feature, key)?,
                width => width,
            };
        }
        let radius_m = match width {
            Some(width) if width > 0.02 => width / 2.0,
            _ => {
                simplified.push(format!("{MAST_RADIUS_M} m in radius, since it states no width"));
                MAST_RADIUS_M
            }
        };
        let (bottom_m, top_m) = (centimetres(heights.bottom_m), centimetres(heights.top_m));
        let radius_m = centimetres(radius_m).max(0.01);
        let item = Item::Column { centre, radius_m, bottom_m, top_m };
        Ok(self.built(vec![item], heights, simplified))
    }

    fn tree(&self, at: P2) -> Result<Built, String> {
        let heights = self.heights(false)?;
        let mut simplified = Vec::new();
        let height = heights.top_m;
        let crown = match stated(self.feature, "diameter_crown")? {
            Some(width) if width > 0.0 => width / 2.0,
            _ => {
                simplified.push("crown half as wide as the tree is high".into());
                CROWN_WIDTH_SHARE * height / 2.0
            }
        };
        // girth of the trunk, metres
        let girth = stated(self.feature, "circumference")?.filter(|g| (0.07..=60.0).contains(g));
        let leaves = match (self.feature.tag("leaf_cycle"), self.feature.tag("leaf_type")) {
            (Some("deciduous"), _) if self.site.southern => LeafSeason::Southern,
            (Some("deciduous"), _) => LeafSeason::Northern,
            (Some("evergreen"), _) | (None, Some("needleleaved")) => LeafSeason::Always,
            _ => {
                simplified.push("in leaf all year, since leaf_cycle is not stated".into());
                LeafSeason::Always
            }
        };
        let trunk = centimetres(TRUNK_SHARE * height);
        let item = Item::Tree(FoundTree {
            at,
            trunk_height_m: trunk,
            trunk_radius_m: centimetres(girth.map_or(0.25, |g| g / std::f64::consts::TAU))
                .max(0.01),
            crown_height_m: centimetres(height - trunk),
            crown_radius_m: centimetres(crown).max(0.1),
            leaves,
        });
        Ok(self.built(vec![item], heights, simplified))
    }
}
