//! Heights on a grid of square cells: one value in the middle of each cell, mm.

/// A grid of values; rows run along the first axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Cells along each axis.
    pub size: [usize; 2],
    /// Row by row.
    pub values: Vec<f64>,
}

impl Field {
    /// A grid that holds `value` everywhere.
    pub fn flat(size: [usize; 2], value: f64) -> Self {
        Self { size, values: vec![value; size[0] * size[1]] }
    }

    /// The value of each cell (column, row) by `value`.
    pub fn from_fn(size: [usize; 2], value: impl Fn(usize, usize) -> f64) -> Self {
        let cells = (0..size[1]).flat_map(|y| (0..size[0]).map(move |x| (x, y)));
        Self { size, values: cells.map(|(x, y)| value(x, y)).collect() }
    }

    /// The value at (`x`, `y`).
    pub fn at(&self, x: usize, y: usize) -> f64 {
        self.values[y * self.size[0] + x]
    }

    /// Column and row of a cell.
    pub fn place(&self, cell: usize) -> [usize; 2] {
        [cell % self.size[0], cell / self.size[0]]
    }

    /// The cells within `reach` rows and columns of `cell`, itself included.
    pub fn around(
        &self,
        cell: usize,
        reach: usize,
    ) -> impl Iterator<Item = usize> + use<> {
        let ([x, y], [wide, high]) = (self.place(cell), self.size);
        let rows = y.saturating_sub(reach)..=(y + reach).min(high - 1);
        let columns = x.saturating_sub(reach)..=(x + reach).min(wide - 1);
        rows.flat_map(move |row| columns.clone().map(move |column| row * wide + column))
    }

    /// The greatest value; minus infinity of none.
    pub fn greatest(&self) -> f64 {
        self.values.iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }

    /// The same with every value turned over.
    #[must_use]
    pub fn negated(&self) -> Self {
        Self { size: self.size, values: self.values.iter().map(|value| -value).collect() }
    }

    /// The greatest of both, cell by cell.
    pub fn raise_to(&mut self, other: &Self) {
        for (own, other) in self.values.iter_mut().zip(&other.values) {
            *own = own.max(*other);
        }
    }

    /// Every `by` × `by` cells joined to one that holds the greatest of them.
    pub fn pooled(&self, by: usize) -> Self {
        let size = self.size.map(|edge| edge.div_ceil(by));
        let mut pooled = Self::flat(size, f64::NEG_INFINITY);
        for (cell, &value) in self.values.iter().enumerate() {
            let [x, y] = self.place(cell);
            let to = &mut pooled.values[(y / by) * size[0] + x / by];
            *to = to.max(value);
        }
        pooled
    }

    /// The cells within `reach` of `cell`, and where `cell` is among them.
    pub fn window(&self, cell: usize, reach: usize) -> (Self, usize) {
        let [x, y] = self.place(cell);
        let [left, top] = [x.saturating_sub(reach), y.saturating_sub(reach)];
        let size = [
            (x + reach + 1).min(self.size[0]) - left,
            (y + reach + 1).min(self.size[1]) - top,
        ];
        let near = Self::from_fn(size, |column, row| self.at(left + column, top + row));
        (near, (y - top) * size[0] + x - left)
    }
}
