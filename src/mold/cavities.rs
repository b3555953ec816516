//! Several equal cavities: the first one, turned about the sprue.

use super::cut_feature::Cut;
use super::rings::Ring;
use crate::geom::Point;
use crate::mesh::TriMesh;
use crate::mesh::solid::Solid;
use crate::part::parting::Skins;

/// Cavities around a sprue, evenly turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Star {
    /// How many.
    pub count: u32,
    /// The middle of the sprue.
    pub about: [f64; 2],
}

/// One of its turns.
#[derive(Clone, Copy, Debug)]
pub struct Turn {
    cos: f64,
    sin: f64,
    about: [f64; 2],
}

impl Star {
    /// One cavity, wherever its sprue stands.
    pub const ONE: Self = Self { count: 1, about: [0.0; 2] };

    /// Its turns, that of the first cavity, which moves nothing, first.
    pub fn turns(self) -> impl Iterator<Item = Turn> {
        let count = self.count.max(1);
        (0..count).map(move |number| {
            // Quarter turns are exact.
            let (sin, cos) = match 4 * number % count {
                0 => match 4 * number / count {
                    0 => (0.0, 1.0),
                    1 => (1.0, 0.0),
                    2 => (0.0, -1.0),
                    _ => (-1.0, 0.0),
                },
                _ => {
                    let share = f64::from(number) / f64::from(count);
                    (std::f64::consts::TAU * share).sin_cos()
                }
            };
            Turn { cos, sin, about: self.about }
        })
    }

    /// The points of all cavities, one cavity after the other.
    pub fn points(self, of_one: &[Point]) -> Vec<Point> {
        self.turns()
            .flat_map(|turn| of_one.iter().map(move |at| turn.point(at)))
            .collect()
    }

    /// The skins of all cavities over those points.
    pub fn skins(self, of_one: &Skins) -> Skins {
        let corners = of_one.mesh.points().len() as u32;
        let shifted = |number: u32| {
            let by = number * corners;
            of_one.mesh.facets().iter().map(move |facet| facet.map(|corner| corner + by))
        };
        let count = self.count.max(1);
        // Which corners a facet has is all that is asked of this mesh.
        let points = of_one.mesh.points().repeat(count as usize);
        let facets = (0..count).flat_map(shifted).collect();
        Skins {
            mesh: TriMesh::new(points, facets),
            halves: of_one.halves.repeat(count as usize),
            origins: of_one.origins.repeat(count as usize),
            formed: of_one.formed.clone(),
        }
    }

    /// The rings of all cavities, of one that has so many corners.
    pub fn rings(self, of_one: &[Ring], corners: usize) -> Vec<Ring> {
        let of = |number: u32| {
            let by = number * corners as u32;
            of_one.iter().map(move |ring| Ring {
                corners: ring.corners.iter().map(|corner| corner + by).collect(),
            })
        };
        (0..self.count.max(1)).flat_map(of).collect()
    }
}

impl Turn {
    /// A place, turned.
    pub fn place(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [dx, dy] = [x - self.about[0], y - self.about[1]];
        let [turned_x, turned_y] =
            [dx * self.cos - dy * self.sin, dx * self.sin + dy * self.cos];
        [self.about[0] + turned_x, self.about[1] + turned_y]
    }

    /// A point, turned.
    pub fn point(&self, at: &Point) -> Point {
        // The first cavity stays as it is to the last bit.
        if self.cos >= 1.0 {
            return *at;
        }
        let [x, y] = self.place([at.x, at.y]);
        Point::new(x, y, at.z)
    }

    /// A cut, turned.
    pub fn cut(&self, cut: &Cut) -> Cut {
        let points = cut.solid.points.iter().map(|at| self.point(at)).collect();
        Cut {
            at: self.place(cut.at),
            end: cut.end.map(|end| self.place(end)),
            solid: Solid { points, facets: cut.solid.facets.clone() },
            ..cut.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Star;
    use crate::geom::Point;

    /// Three about (1, 2): the sum of what points from there is nothing, each as far away; four
    /// lie on the axes exactly.
    #[test]
    fn turns_are_even() {
        let about = [1.0, 2.0];
        for count in [2, 3, 4, 6, 8] {
            let star = Star { count, about };
            let places: Vec<[f64; 2]> =
                star.turns().map(|turn| turn.place([6.0, 2.0])).collect();
            assert_eq!(places.len(), count as usize);
            let sum = places.iter().fold([0.0; 2], |sum, at| {
                [sum[0] + at[0] - about[0], sum[1] + at[1] - about[1]]
            });
            assert!(sum[0].hypot(sum[1]) < 1e-12, "{count} {sum:?}");
            for [x, y] in places {
                assert!(((x - about[0]).hypot(y - about[1]) - 5.0).abs() < 1e-12);
            }
        }
        let four = Star { count: 4, about }.points(&[Point::new(6.0, 2.0, 3.0)]);
        assert_eq!(four[1], Point::new(1.0, 7.0, 3.0));
        assert_eq!(four[2], Point::new(-4.0, 2.0, 3.0));
        assert_eq!(four[3], Point::new(1.0, -3.0, 3.0));
    }
}
