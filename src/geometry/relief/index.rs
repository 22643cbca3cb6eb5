//! Rings of a plane by place.
//!
//! In: rings, metres. Out: those near a triangle.

use rustc_hash::FxHashMap;

use crate::base::plane::P2;
use crate::geometry::hull::Box2;

/// Cells of an index, a side, at most.
const MAX_SIDE: f64 = 256.0;

/// Rings of the level plane by the cells that their boxes meet.
pub(super) struct Index {
    low: P2,
    cell: P2,
    side: usize,
    cells: FxHashMap<usize, Vec<u32>>,
    boxes: Vec<Option<Box2>>,
}

impl Index {
    pub fn over<'a>(reach: &Box2, rings: impl ExactSizeIterator<Item = &'a [P2]>) -> Self {
        let side = (rings.len() as f64).sqrt().ceil().clamp(1.0, MAX_SIDE);
        let cell = [0, 1].map(|i| ((reach.max[i] - reach.min[i]) / side).max(f64::MIN_POSITIVE));
        let boxes = rings.map(|ring| Box2::around(ring.iter().copied())).collect();
        let (low, side) = (reach.min, side as usize);
        let mut index = Self { low, cell, side, cells: FxHashMap::default(), boxes };
        for number in 0..index.boxes.len() {
            if let Some(bounds) = index.boxes[number].filter(|bounds| bounds.overlaps(reach)) {
                for cell in index.of(&bounds) {
                    index.cells.entry(cell).or_default().push(number as u32);
                }
            }
        }
        index
    }

    fn of(&self, bounds: &Box2) -> impl Iterator<Item = usize> + use<> {
        let place = |value: f64, axis: usize| {
            let place = ((value - self.low[axis]) / self.cell[axis]).max(0.0) as usize;
            place.min(self.side - 1)
        };
        let [left, right] = [bounds.min[0], bounds.max[0]].map(|x| place(x, 0));
        let [bottom, top] = [bounds.min[1], bounds.max[1]].map(|y| place(y, 1));
        let side = self.side;
        (bottom..=top).flat_map(move |row| (left..=right).map(move |column| row * side + column))
    }

    /// Each ring whose box meets that of a triangle, once.
    pub fn near(&self, triangle: &[P2; 3]) -> impl Iterator<Item = usize> + use<> {
        let bounds = Box2::around(*triangle);
        let cells = bounds.into_iter().flat_map(|bounds| self.of(&bounds));
        let mut found: Vec<u32> =
            cells.filter_map(|cell| self.cells.get(&cell)).flatten().copied().collect();
        found.sort_unstable();
        found.dedup();
        found.retain(|i| {
            let own = &self.boxes[*i as usize];
            own.zip(bounds).is_some_and(|(own, bounds)| own.overlaps(&bounds))
        });
        found.into_iter().map(|i| i as usize)
    }
}
