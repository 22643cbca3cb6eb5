//! Terrain as a grid of heights.
//!
//! In: rows of heights from north to south, with the place of the first and the
//! steps between them. Out: heights between the posts, bilinear. Heights are
//! metres above whatever sea level the tile counts from.

/// What the two axes of a tile are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum System {
    /// Longitude and latitude, degrees.
    Geographic,
    /// Easting and northing of a zone of UTM, metres.
    Utm { zone: u8, south: bool },
}

/// A tile of terrain.
#[derive(Debug, Clone)]
pub struct TerrainTile {
    /// Its file, for messages.
    pub file: String,
    pub system: System,
    /// Longitude or easting, latitude or northing of the post in the north-west.
    pub north_west: [f64; 2],
    /// From post to post, eastward and southward, greater than zero.
    pub step: [f64; 2],
    pub columns: usize,
    pub rows: usize,
    /// Row by row from the north; NaN where there is no height.
    pub heights: Vec<f32>,
}

/// What a tile says of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TileGround {
    Height(f64),
    /// On the tile, but without a height.
    Void,
    Outside,
}

impl TerrainTile {
    /// How many posts have no height.
    pub fn voids(&self) -> usize {
        self.heights.iter().filter(|h| h.is_nan()).count()
    }

    /// Metres between posts, the shorter way, at a latitude.
    pub fn spacing_m(&self, latitude_deg: f64) -> f64 {
        // a degree of latitude on the mean sphere of 6371 km
        const DEGREE_M: f64 = 111_195.0;
        match self.system {
            System::Geographic => {
                let across = self.step[0] * DEGREE_M * latitude_deg.to_radians().cos();
                (self.step[1] * DEGREE_M).min(across)
            }
            System::Utm { .. } => self.step[0].min(self.step[1]),
        }
    }

    /// Column and row of a place in the tile's own axes, counted from the north-west;
    /// none where the axes have no such place.
    pub fn posts(&self, [x, y]: [f64; 2]) -> Option<[f64; 2]> {
        let mut east = x - self.north_west[0];
        if self.system == System::Geographic {
            // the tile may lie across the date line from the place
            if east < -180.0 {
                east += 360.0;
            } else if east > 180.0 {
                east -= 360.0;
            }
        }
        let posts = [east / self.step[0], (self.north_west[1] - y) / self.step[1]];
        posts.iter().all(|p| p.is_finite()).then_some(posts)
    }

    /// Height at a place in the tile's own axes. Half a step around the outer
    /// posts belongs to the tile, so that tiles of cells leave no gap.
    pub fn ground(&self, at: [f64; 2]) -> TileGround {
        let Some([column, row]) = self.posts(at) else { return TileGround::Outside };
        let (last_column, last_row) = ((self.columns - 1) as f64, (self.rows - 1) as f64);
        let inside =
            (-0.5..=last_column + 0.5).contains(&column) && (-0.5..=last_row + 0.5).contains(&row);
        if !inside {
            return TileGround::Outside;
        }
        let (column, row) = (column.clamp(0.0, last_column), row.clamp(0.0, last_row));
        let (left, above) = (column as usize, row as usize);
        let (right, below) = ((left + 1).min(self.columns - 1), (above + 1).min(self.rows - 1));
        let (u, v) = (column - left as f64, row - above as f64);
        let post = |column: usize, row: usize| f64::from(self.heights[row * self.columns + column]);
        // a weight of nothing must not let a void in
        let mix = |a: f64, b: f64, t: f64| if t == 0.0 { a } else { a + t * (b - a) };
        let upper = mix(post(left, above), post(right, above), u);
        let height = if v == 0.0 {
            upper
        } else {
            mix(upper, mix(post(left, below), post(right, below), u), v)
        };
        if height.is_nan() { TileGround::Void } else { TileGround::Height(height) }
    }
}
