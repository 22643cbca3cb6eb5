//! Red, green and blue of SDR and of HDR.
//!
//! In and out: linear values, any unit: tristimulus values, or red, green and blue, where equal
//! amounts are the white D65.

use std::sync::LazyLock;

type Matrix = [[f64; 3]; 3];

/// White of both systems, CIE (x, y): BT.709-6 item 1.4, BT.2020-2 table 3.
const WHITE: [f64; 2] = [0.3127, 0.3290];

/// Colours that a signal is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Primaries {
    /// SDR: Rec. ITU-R BT.709-6, item 1.3.
    Bt709,
    /// HDR: Rec. ITU-R BT.2020-2, table 3, which BT.2100 takes over.
    Bt2020,
}

impl Primaries {
    /// CIE (x, y) of red, green and blue.
    pub fn chromaticities(self) -> [[f64; 2]; 3] {
        match self {
            Self::Bt709 => [[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]],
            Self::Bt2020 => [[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]],
        }
    }

    /// Red, green and blue of tristimulus values; negative outside of the primaries.
    pub fn from_xyz(self, xyz: [f64; 3]) -> [f64; 3] {
        times(&self.tables().from_xyz, xyz)
    }

    /// Tristimulus values of red, green and blue.
    pub fn to_xyz(self, rgb: [f64; 3]) -> [f64; 3] {
        times(&self.tables().to_xyz, rgb)
    }

    /// Linear red, green and blue in other primaries: Rec. ITU-R BT.2087 from BT.709 to
    /// BT.2020, its inverse the other way. Nothing is clipped.
    pub fn into(self, other: Self, rgb: [f64; 3]) -> [f64; 3] {
        match (self, other) {
            (Self::Bt709, Self::Bt2020) => times(&TABLES.wide_of_narrow, rgb),
            (Self::Bt2020, Self::Bt709) => times(&TABLES.narrow_of_wide, rgb),
            _ => rgb,
        }
    }

    /// Weights of red, green and blue in luminance.
    pub fn luminance(self) -> [f64; 3] {
        self.tables().to_xyz[1]
    }

    fn tables(self) -> &'static PrimaryMatrices {
        match self {
            Self::Bt709 => &TABLES.bt709,
            Self::Bt2020 => &TABLES.bt2020,
        }
    }
}

struct PrimaryMatrices {
    to_xyz: Matrix,
    from_xyz: Matrix,
}

struct Tables {
    bt709: PrimaryMatrices,
    bt2020: PrimaryMatrices,
    wide_of_narrow: Matrix,
    narrow_of_wide: Matrix,
}

static TABLES: LazyLock<Tables> = LazyLock::new(|| {
    let [bt709, bt2020] = [Primaries::Bt709, Primaries::Bt2020].map(|primaries| {
        let to_xyz = normalised(primaries.chromaticities());
        PrimaryMatrices { from_xyz: inverse(&to_xyz), to_xyz }
    });
    Tables {
        wide_of_narrow: product(&bt2020.from_xyz, &bt709.to_xyz),
        narrow_of_wide: product(&bt709.from_xyz, &bt2020.to_xyz),
        bt709,
        bt2020,
    }
});

/// Amounts of the primaries such that one of each is white with a luminance of 1 (SMPTE RP
/// 177, normalised primary matrix).
fn normalised(chromaticities: [[f64; 2]; 3]) -> Matrix {
    let xyz = |[x, y]: [f64; 2]| [x / y, 1.0, (1.0 - x - y) / y];
    let columns = transposed(&chromaticities.map(xyz));
    let amounts = times(&inverse(&columns), xyz(WHITE));
    columns.map(|row| [0, 1, 2].map(|c| row[c] * amounts[c]))
}

fn times(matrix: &Matrix, v: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

fn product(a: &Matrix, b: &Matrix) -> Matrix {
    let columns = transposed(b).map(|column| times(a, column));
    transposed(&columns)
}

fn transposed(m: &Matrix) -> Matrix {
    [0, 1, 2].map(|i| [m[0][i], m[1][i], m[2][i]])
}

/// By cofactors; primaries are never on one line, so the determinant is not 0.
fn inverse(m: &Matrix) -> Matrix {
    let cofactor = |r: usize, c: usize| {
        let [r1, r2, c1, c2] = [(r + 1) % 3, (r + 2) % 3, (c + 1) % 3, (c + 2) % 3];
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let determinant: f64 = (0..3).map(|c| m[0][c] * cofactor(0, c)).sum();
    [0, 1, 2].map(|r| [0, 1, 2].map(|c| cofactor(c, r) / determinant))
}
