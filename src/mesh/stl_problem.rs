//! What can be wrong or odd about an STL file, and the facets as they come out of it.

use std::fmt;

use thiserror::Error;

/// A triangle as the file stores it: three corners in the unit of the file.
pub type StlTriangle = [[f32; 3]; 3];

/// Why a file cannot be read. Each message is one line: what was seen, and what to do.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
#[non_exhaustive]
pub enum StlError {
    /// No byte at all.
    #[error("the file is empty: export the part again")]
    Empty,
    /// Shorter than the header of a binary STL, and not text.
    #[error(
        "the file is cut off inside its header ({bytes} of 84 bytes): export it again"
    )]
    HeaderCutOff {
        /// Size of the file.
        bytes: usize,
    },
    /// A binary file that ends inside a facet.
    #[error(
        "the file is cut off inside a facet: {whole} whole facets are there, the header \
         announces {announced}; export or download it again"
    )]
    CutOff {
        /// Facets that are there from first to last byte.
        whole: usize,
        /// Facets that the header announces.
        announced: u32,
    },
    /// A text file that ends inside a facet.
    #[error(
        "the text ends inside a facet on line {line}: {whole} whole facets are there; export \
         or download it again"
    )]
    TextCutOff {
        /// Facets that are there from `facet` to `endfacet`.
        whole: usize,
        /// Last line.
        line: usize,
    },
    /// Corners that are no place in space.
    #[error(
        "{facets} facets have a corner that is not a finite number (the first is facet \
         {first}): export the part again"
    )]
    NotFinite {
        /// How many facets.
        facets: usize,
        /// The first of them, counted from 1.
        first: usize,
    },
    /// A readable file that holds no facet.
    #[error("the file holds no facet: export the part, not an empty scene")]
    NoFacets,
    /// Some other kind of file.
    #[error(
        "this is not an STL file, it looks like {looks_like}: export the part as STL"
    )]
    NotStl {
        /// What it looks like, with its article.
        looks_like: &'static str,
    },
    /// A text file that leaves the grammar.
    #[error("the text breaks on line {line}: expected {expected}, found \"{seen}\"")]
    BrokenText {
        /// The line, counted from 1.
        line: usize,
        /// What the grammar wants there.
        expected: &'static str,
        /// What stands there, shortened.
        seen: String,
    },
}

/// What is odd about a file that could be read all the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Oddity {
    /// Bytes after the last facet, which were ignored.
    TrailingBytes {
        /// How many.
        bytes: usize,
    },
    /// The header announces another number of facets than the file holds.
    WrongCount {
        /// The number in the header.
        announced: u32,
        /// The number read.
        read: usize,
    },
    /// A text file with more than one solid; all were read.
    SeveralSolids {
        /// How many.
        solids: usize,
    },
    /// A text file whose lines end in a lone carriage return.
    CarriageReturns,
    /// A text file that is one single line.
    OneLine,
    /// A text file without `endsolid`; every facet before the end was whole.
    NoEnd,
    /// Stored normals of length zero; normals are taken from the corners.
    ZeroNormals {
        /// How many.
        facets: usize,
    },
    /// Stored normals that point more than 90° away from the side that the corner order
    /// names; the corner order is believed.
    WrongNormals {
        /// How many.
        facets: usize,
    },
    /// Stored normals that are not finite numbers.
    NotFiniteNormals {
        /// How many.
        facets: usize,
    },
}

impl fmt::Display for Oddity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TrailingBytes { bytes } => {
                write!(f, "{bytes} bytes after the last facet were ignored")
            }
            Self::WrongCount { announced, read } => {
                write!(
                    f,
                    "the header announces {announced} facets, the file holds {read}"
                )
            }
            Self::SeveralSolids { solids } => {
                write!(f, "{solids} solids in one file, all were read")
            }
            Self::CarriageReturns => write!(f, "lines end in a lone carriage return"),
            Self::OneLine => write!(f, "the whole text stands on one line"),
            Self::NoEnd => write!(f, "the text has no endsolid"),
            Self::ZeroNormals { facets } => write!(
                f,
                "{facets} stored normals are zero, the corner order was used instead"
            ),
            Self::WrongNormals { facets } => write!(
                f,
                "{facets} stored normals point against the corner order, which was believed"
            ),
            Self::NotFiniteNormals { facets } => {
                write!(f, "{facets} stored normals are not finite numbers")
            }
        }
    }
}

/// Facets gathered one by one, with what is wrong about them.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) triangles: Vec<StlTriangle>,
    zero_normals: usize,
    wrong_normals: usize,
    not_finite_normals: usize,
    not_finite: usize,
    first_not_finite: usize,
}

impl Gathered {
    /// Room for `facets`, a number that the size of the file vouches for.
    pub(super) fn with_capacity(facets: usize) -> Self {
        Self { triangles: Vec::with_capacity(facets), ..Self::default() }
    }

    /// Takes one facet.
    pub(super) fn push(&mut self, facet: &stl_io::Triangle) {
        let corners = facet.vertices.map(|vertex| vertex.0);
        self.triangles.push(corners);
        if corners.iter().flatten().all(|x| x.is_finite()) {
            self.judge_normal(facet.normal.0, &corners);
        } else {
            self.mark_not_finite();
        }
    }

    /// Notes that the facet taken last has a corner nowhere.
    pub(super) fn mark_not_finite(&mut self) {
        if self.not_finite == 0 {
            self.first_not_finite = self.triangles.len();
        }
        self.not_finite += 1;
    }

    /// Notes `facets` stored normals that are not numbers.
    pub(super) fn mark_not_finite_normals(&mut self, facets: usize) {
        self.not_finite_normals += facets;
        // They were handed on as zero.
        self.zero_normals = self.zero_normals.saturating_sub(facets);
    }

    fn judge_normal(&mut self, normal: [f32; 3], corners: &StlTriangle) {
        if !normal.iter().all(|x| x.is_finite()) {
            self.not_finite_normals += 1;
            return;
        }
        if normal.iter().all(|x| x.abs() <= 0.0) {
            self.zero_normals += 1;
            return;
        }
        let [a, b, c] = corners.map(|p| p.map(f64::from));
        let [u, v] = [b, c].map(|p| [p[0] - a[0], p[1] - a[1], p[2] - a[2]]);
        let cross = [
            u[1] * v[2] - u[2] * v[1],
            u[2] * v[0] - u[0] * v[2],
            u[0] * v[1] - u[1] * v[0],
        ];
        let along: f64 = cross.iter().zip(normal).map(|(c, n)| c * f64::from(n)).sum();
        if along < 0.0 {
            self.wrong_normals += 1;
        }
    }

    /// The facets and what is odd about their normals.
    pub(super) fn finish(self) -> Result<(Vec<StlTriangle>, Vec<Oddity>), StlError> {
        if self.triangles.is_empty() {
            return Err(StlError::NoFacets);
        }
        if self.not_finite > 0 {
            let (facets, first) = (self.not_finite, self.first_not_finite);
            return Err(StlError::NotFinite { facets, first });
        }
        let found = [
            (self.zero_normals, Oddity::ZeroNormals { facets: self.zero_normals }),
            (self.wrong_normals, Oddity::WrongNormals { facets: self.wrong_normals }),
            (
                self.not_finite_normals,
                Oddity::NotFiniteNormals { facets: self.not_finite_normals },
            ),
        ];
        let odd = found.into_iter().filter(|(n, _)| *n > 0).map(|(_, odd)| odd);
        Ok((self.triangles, odd.collect()))
    }
}

#[cfg(test)]
mod tests {
    use super::{Gathered, Oddity, StlError};

    fn facet(normal: [f32; 3]) -> stl_io::Triangle {
        let corners = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
        stl_io::Triangle {
            normal: stl_io::Normal::new(normal),
            vertices: corners.map(stl_io::Vertex::new),
        }
    }

    #[test]
    fn stored_normals_are_sorted_by_what_is_odd() {
        let mut gathered = Gathered::default();
        for normal in [[0.0, 0.0, 1.0], [0.0; 3], [0.0, 0.0, -3.0], [f32::NAN; 3]] {
            gathered.push(&facet(normal));
        }
        let (triangles, odd) = gathered.finish().unwrap();
        assert_eq!(triangles.len(), 4);
        assert_eq!(
            odd,
            [
                Oddity::ZeroNormals { facets: 1 },
                Oddity::WrongNormals { facets: 1 },
                Oddity::NotFiniteNormals { facets: 1 }
            ]
        );
    }

    #[test]
    fn no_facet_is_an_error_of_its_own() {
        assert_eq!(Gathered::default().finish().unwrap_err(), StlError::NoFacets);
    }
}
