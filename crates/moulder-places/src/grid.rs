//! A grid of normals over land and coast, temperatures reduced to sea level.

use crate::Spot;

/// A cell of the grid: normals of land and coast, temperatures reduced to sea level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Its middle.
    pub spot: Spot,
    /// Mean height of its land and water; m.
    pub height_m: f64,
    /// Means of daily highs, reduced to sea level; degC.
    pub high_c: [f64; 12],
    /// Means of daily lows, reduced to sea level; degC.
    pub low_c: [f64; 12],
    /// Rain; mm.
    pub rain_mm: [f64; 12],
}

/// Cells of a grid, found by row and column.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Grid {
    step_deg: f64,
    /// Rows from south to north, in which a cell may be missing.
    cells: Vec<Option<Cell>>,
    columns: usize,
}

/// What a grid says of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AtSeaLevel {
    pub(crate) high_c: [f64; 12],
    pub(crate) low_c: [f64; 12],
    pub(crate) rain_mm: [f64; 12],
    /// Mean height of the land and water around; m.
    pub(crate) height_m: f64,
    /// Least and largest mean height of the cells around; m.
    pub(crate) heights_m: (f64, f64),
}

impl Grid {
    /// The centre of a cell, by row and column; degrees.
    pub(crate) fn centre(step_deg: f64, row: i16, column: i16) -> Spot {
        Spot {
            latitude_deg: (f64::from(row) + 0.5) * step_deg - 90.0,
            longitude_deg: (f64::from(column) + 0.5) * step_deg - 180.0,
        }
    }

    /// Row and column of the cell around a place.
    pub(crate) fn place(step_deg: f64, spot: Spot) -> (i16, i16) {
        let index = |degrees: f64| whole(libm::floor(degrees / step_deg));
        (
            index(spot.latitude_deg + 90.0),
            index(spot.longitude_deg + 180.0),
        )
    }

    /// A grid of such cells; those off the map are left out.
    pub(crate) fn new(step_deg: f64, cells: &[Cell]) -> Self {
        let count = |degrees: f64| usize::try_from(whole(libm::ceil(degrees / step_deg)));
        let (rows, columns) = (count(180.0).unwrap_or(0), count(360.0).unwrap_or(0));
        let mut grid = Self {
            step_deg,
            cells: vec![None; rows * columns],
            columns,
        };
        for cell in cells {
            let (row, column) = Self::place(step_deg, cell.spot);
            if let Some(place) = grid
                .index(row, column)
                .and_then(|at| grid.cells.get_mut(at))
            {
                *place = Some(*cell);
            }
        }
        grid
    }

    fn index(&self, row: i16, column: i16) -> Option<usize> {
        let row = usize::try_from(row).ok()?;
        let around = i64::try_from(self.columns)
            .ok()
            .filter(|columns| *columns > 0)?;
        let column = usize::try_from(i64::from(column).rem_euclid(around)).ok()?;
        Some(row * self.columns + column)
    }

    /// Between the four cells around a place, as far as they are there; none where none is.
    /// Rain is interpolated by its square root.
    pub(crate) fn at(&self, spot: Spot) -> Option<AtSeaLevel> {
        let row = (spot.latitude_deg + 90.0) / self.step_deg - 0.5;
        let column = (spot.longitude_deg + 180.0) / self.step_deg - 0.5;
        let (south, west) = (libm::floor(row), libm::floor(column));
        let mut sum = AtSeaLevel {
            high_c: [0.0; 12],
            low_c: [0.0; 12],
            rain_mm: [0.0; 12],
            height_m: 0.0,
            heights_m: (f64::INFINITY, f64::NEG_INFINITY),
        };
        let mut weights = 0.0;
        for (up, by_row) in [(0, 1.0 - (row - south)), (1, row - south)] {
            for (right, by_column) in [(0, 1.0 - (column - west)), (1, column - west)] {
                let at = self.index(
                    whole(south).saturating_add(up),
                    whole(west).saturating_add(right),
                );
                let Some(Some(cell)) = at.and_then(|at| self.cells.get(at)) else {
                    continue;
                };
                let weight = by_row * by_column;
                weights += weight;
                sum.height_m += weight * cell.height_m;
                sum.heights_m.0 = sum.heights_m.0.min(cell.height_m);
                sum.heights_m.1 = sum.heights_m.1.max(cell.height_m);
                for month in 0..12 {
                    sum.high_c[month] += weight * cell.high_c[month];
                    sum.low_c[month] += weight * cell.low_c[month];
                    sum.rain_mm[month] += weight * libm::sqrt(cell.rain_mm[month]);
                }
            }
        }
        if weights <= 0.0 {
            return None;
        }
        let mean = |months: [f64; 12]| months.map(|month| month / weights);
        Some(AtSeaLevel {
            high_c: mean(sum.high_c),
            low_c: mean(sum.low_c),
            rain_mm: mean(sum.rain_mm).map(|root| root * root),
            height_m: sum.height_m / weights,
            ..sum
        })
    }
}

/// A whole number of a column; beyond its range the nearest that it holds.
#[allow(
    clippy::cast_possible_truncation,
    reason = "rounded before, and the cast saturates"
)]
pub(crate) fn whole(value: f64) -> i16 {
    value as i16
}

#[cfg(test)]
mod tests {
    use super::Cell;
    use super::Grid;
    use crate::Spot;

    fn cell(latitude_deg: f64, longitude_deg: f64, high_c: f64) -> Cell {
        Cell {
            spot: Spot {
                latitude_deg,
                longitude_deg,
            },
            height_m: 10.0 * high_c,
            high_c: [high_c; 12],
            low_c: [0.0; 12],
            rain_mm: [high_c * high_c; 12],
        }
    }

    #[test]
    fn a_place_lies_between_the_cells_around_it() {
        // Over the date line.
        let cells = [cell(10.5, 179.5, 4.0), cell(10.5, -179.5, 8.0)];
        let grid = Grid::new(1.0, &cells);
        let at = |latitude_deg, longitude_deg| {
            let spot = Spot {
                latitude_deg,
                longitude_deg,
            };
            grid.at(spot)
                .map(|found| (found.high_c[3], found.rain_mm[7]))
        };
        assert_eq!(at(10.5, 179.5), Some((4.0, 16.0)));
        assert_eq!(at(10.5, 180.0), Some((6.0, 36.0)));
        assert_eq!(at(10.5, -179.75), Some((7.0, 49.0)));
        // Cells that are missing do not count.
        assert_eq!(at(10.9, -179.5), Some((8.0, 64.0)));
        assert_eq!(at(11.6, -179.5), None);
        assert_eq!(at(f64::NAN, 0.0), None);
        assert_eq!(at(90.0, 180.0), None);
    }
}
