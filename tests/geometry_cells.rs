//! Shares of a lattice's cells under a shadow, against a general overlay.

use geo::{Area, BooleanOps, MultiPolygon, Polygon, polygon};
use quarterstop::geometry::{Dimmed, Lattice, Region, Shadow};
use quarterstop::units::Transmittance;

/// Cells of an L-shaped region under two overlapping shadows, one with a hole, against a
/// general overlay of each cell.
#[test]
fn areas_of_cells_are_those_of_an_overlay() {
    let region: MultiPolygon<f64> = polygon![
        (x: 0., y: 0.), (x: 40., y: 1.), (x: 40., y: 12.), (x: 13., y: 12.), (x: 10., y: 30.),
        (x: 0., y: 30.)
    ]
    .into();
    let opaque: MultiPolygon<f64> = polygon!(
        exterior: [(x: -5., y: 3.), (x: 22., y: -4.), (x: 30., y: 20.), (x: 2., y: 26.)],
        interiors: [[(x: 6., y: 8.), (x: 9., y: 15.), (x: 15., y: 9.)]],
    )
    .into();
    let dimmed: MultiPolygon<f64> =
        polygon![(x: 30., y: -3.), (x: 44., y: 4.), (x: 33., y: 9.)].into();
    let lattice = Lattice::over(&region, region.unsigned_area(), 60.0);
    let prepared = Region::new(&region);
    let areas = lattice.cell_areas_m2(&prepared);
    let transmittance = Transmittance::from_share(0.4);
    let shadow = Shadow {
        height_m: 0.0,
        field_area_m2: region.unsigned_area(),
        opaque_area_m2: opaque.unsigned_area(),
        dimmed: vec![Dimmed {
            transmittance,
            area_m2: dimmed.unsigned_area(),
            region: dimmed.clone(),
        }],
        shaded: opaque.union(&dimmed),
        opaque: opaque.clone(),
    };
    let (whole, cells) = lattice.shade(&prepared, &areas, &shadow);
    assert_eq!(whole, prepared.share(&shadow));
    assert_eq!(cells.len(), lattice.places().len());
    let half = lattice.step_m() * 0.5;
    for ((at, area), cell) in lattice.places().iter().zip(&areas).zip(&cells) {
        let corners = [(-1., -1.), (1., -1.), (1., 1.), (-1., 1.)];
        let corners = corners.map(|(x, y)| (at.x + x * half.x, at.y + y * half.y));
        let own: MultiPolygon<f64> = Polygon::new(corners.to_vec().into(), vec![]).into();
        let own = own.intersection(&region);
        let of = |other: &MultiPolygon<f64>| own.intersection(other).unsigned_area();
        assert!((area - own.unsigned_area()).abs() < 1e-6, "{at:?} {area}");
        let (dark, dim) = (of(&opaque) / area, of(&dimmed) / area);
        assert!((cell.opaque - dark).abs() < 1e-6, "{at:?} {cell:?} {dark}");
        assert!((cell.dimmed - dim).abs() < 1e-6, "{at:?} {cell:?} {dim}");
        assert!((cell.through_dimmed - 0.4 * dim).abs() < 1e-6, "{at:?} {cell:?}");
        assert!((cell.sun + cell.dimmed + cell.opaque - 1.0).abs() < 1e-12);
    }
}
