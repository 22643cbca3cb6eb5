//! Shares of cells of a view, against solid angles in closed form.

use geo::{BooleanOps, Coord, MultiPolygon, Polygon, TriangulateEarcut, polygon};
use glam::DVec3;

use quarterstop::base::units::Transmittance;
use quarterstop::geometry::{CellShade, Dimmed, Shadow, ViewCells};

/// Lines are walked in steps of 0.03 radian, whose chords leave the great circle by at most
/// a tenth of a thousandth of a radian (`STEP_RAD` in `view_cells.rs`): of a view that is at
/// least a twentieth of a radian high, two thousandths.
const SHARE: f64 = 0.002;

/// Solid angle of polygons on the ground, sr: the sum over triangles of A. van Oosterom and
/// J. Strackee, "The Solid Angle of a Plane Triangle", IEEE Transactions on Biomedical
/// Engineering BME-30(2), 1983, equation 8.
fn solid_angle(polygons: &MultiPolygon<f64>, lens: DVec3) -> f64 {
    let to = |c: Coord<f64>| DVec3::new(c.x, c.y, 0.0) - lens;
    let triangles = polygons.iter().flat_map(|p| p.earcut_triangles());
    let one = |t: geo::Triangle<f64>| {
        let [a, b, c] = t.to_array().map(to);
        let (x, y, z) = (a.length(), b.length(), c.length());
        let below = x * y * z + a.dot(b) * z + b.dot(c) * x + c.dot(a) * y;
        2.0 * a.dot(b.cross(c)).abs().atan2(below)
    };
    triangles.map(one).sum()
}

fn shadow(opaque: &MultiPolygon<f64>, dimmed: &MultiPolygon<f64>) -> Shadow {
    let dimmed = dimmed.difference(opaque);
    Shadow {
        height_m: 0.0,
        field_area_m2: 1.0,
        opaque_area_m2: 0.0,
        shaded: opaque.union(&dimmed),
        dimmed: vec![Dimmed {
            transmittance: Transmittance::from_share(0.4),
            area_m2: 0.0,
            region: dimmed,
        }],
        opaque: opaque.clone(),
    }
}

/// An L-shaped region, a shadow with a hole and a dimmed one.
fn ground() -> [MultiPolygon<f64>; 3] {
    let region = polygon![
        (x: 0., y: 0.), (x: 40., y: 1.), (x: 40., y: 12.), (x: 13., y: 12.), (x: 10., y: 30.),
        (x: 0., y: 30.)
    ];
    let opaque = polygon!(
        exterior: [(x: -5., y: 3.), (x: 22., y: -4.), (x: 30., y: 20.), (x: 2., y: 26.)],
        interiors: [[(x: 6., y: 8.), (x: 9., y: 15.), (x: 15., y: 9.)]],
    );
    let dimmed = polygon![(x: 28., y: -3.), (x: 44., y: 4.), (x: 33., y: 9.)];
    [region.into(), opaque.into(), dimmed.into()]
}

/// From a gantry, from a lens a metre over the corner, from beside, from straight above and
/// from under the plane.
const LENSES: [[f64; 3]; 5] = [
    [20.0, -30.0, 16.0],
    [-1.0, -1.0, 1.0],
    [60.0, 40.0, 4.0],
    [8.0, 10.0, 25.0],
    [-20.0, 5.0, -3.0],
];

/// What a camera at the origin sweeps: its near border is an arc of 40 sides, between which
/// and the chord of the arc nothing is covered, and there is a hole. With shadows over arc and hole.
fn swept() -> [MultiPolygon<f64>; 3] {
    let arc = (0..=40).map(|i| {
        let (sin, cos) = (2.5 * f64::from(i) - 50.0).to_radians().sin_cos();
        Coord { x: 20.0 * cos, y: 20.0 * sin }
    });
    let far = [Coord { x: 60.0, y: 50.0 }, Coord { x: 60.0, y: -50.0 }];
    let hole = [(40.0, -5.0), (45.0, -5.0), (44.0, 4.0), (41.0, 3.0)];
    let region = Polygon::new(arc.chain(far).collect(), vec![hole.to_vec().into()]);
    let opaque = polygon![(x: 5., y: -30.), (x: 70., y: -20.), (x: 43., y: 1.), (x: 14., y: 9.)];
    let dimmed = polygon![(x: 10., y: 10.), (x: 42., y: -2.), (x: 50., y: 30.), (x: 12., y: 25.)];
    [region.into(), opaque.into(), dimmed.into()]
}

#[test]
fn classes_take_their_solid_angles() {
    LENSES.iter().for_each(|lens| takes_its_solid_angles(ground(), DVec3::from_array(*lens)));
    for lens in [[0.0, 0.0, 12.0], [0.0, 0.0, 3.0], [-10.0, 20.0, 15.0], [40.0, 0.0, 30.0]] {
        takes_its_solid_angles(swept(), DVec3::from_array(lens));
    }
}

fn takes_its_solid_angles([region, opaque, dimmed]: [MultiPolygon<f64>; 3], lens: DVec3) {
    let shadow = shadow(&opaque, &dimmed);
    let cells = ViewCells::over(&region, lens, 240.0);
    let count = cells.places().len();
    assert!((150..400).contains(&count), "{lens}: {count}");
    let whole = solid_angle(&region, lens);
    let sum: f64 = cells.solid_angles_sr().iter().sum();
    assert!((sum / whole - 1.0).abs() < SHARE, "{lens}: {sum} against {whole} sr");
    let (_, shades) = cells.shade(&shadow);
    let share = |of: fn(&CellShade) -> f64| {
        let parts = cells.solid_angles_sr().iter().zip(&shades);
        parts.map(|(sr, cell)| sr * of(cell)).sum::<f64>() / sum
    };
    let expected = |of: &MultiPolygon<f64>| solid_angle(&region.intersection(of), lens) / whole;
    let (dark, dim) = (expected(&opaque), expected(&shadow.dimmed[0].region));
    assert!((share(|c| c.opaque) - dark).abs() < SHARE, "{lens}: {dark}");
    assert!((share(|c| c.dimmed) - dim).abs() < SHARE, "{lens}: {dim}");
    assert!((share(|c| c.through_dimmed) - 0.4 * dim).abs() < SHARE, "{lens}");
    assert!((share(|c| c.sun) - (1.0 - dark - dim)).abs() < 2.0 * SHARE, "{lens}");
    let of_opaque: f64 = cells.solid_angles_of(&opaque).iter().sum();
    assert!((of_opaque / whole - dark).abs() < SHARE, "{lens}");
}

/// No cell takes much more of the view than another, and each place lies in the region.
#[test]
fn no_cell_takes_much_more_than_another() {
    use geo::{Contains, Point};
    let [region, ..] = ground();
    for lens in LENSES.map(DVec3::from_array) {
        let cells = ViewCells::over(&region, lens, 240.0);
        let most = cells.solid_angles_sr().iter().fold(0.0_f64, |most, sr| most.max(*sr));
        let whole: f64 = cells.solid_angles_sr().iter().sum();
        // a whole cell and slivers beside it, each less than 0.3 of one
        assert!(most < 1.7 * whole / 240.0 * 1.2, "{lens}: {most} of {whole}");
        let off = cells.places().iter().filter(|at| !region.contains(&Point(**at))).count();
        assert!(off <= cells.places().len() / 50, "{lens}: {off}");
    }
}

/// Seen edge on the ground has no solid angle: one place, with the shares of the ground.
#[test]
fn ground_seen_edge_on_keeps_the_shares_of_the_ground() {
    let [region, opaque, dimmed] = ground();
    let cells = ViewCells::over(&region, DVec3::new(-20.0, 5.0, 0.0), 240.0);
    let (whole, shades) = cells.shade(&shadow(&opaque, &dimmed));
    assert_eq!((cells.places().len(), shades.len()), (1, 1));
    assert!((shades[0].opaque - whole.opaque).abs() < 1e-12 && whole.opaque > 0.3);
    assert!((shades[0].sun + shades[0].dimmed + shades[0].opaque - 1.0).abs() < 1e-12);
}
