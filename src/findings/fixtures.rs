//! Analyses of small parts, for the tests of the judgments.

use crate::analysis;
use crate::analysis::{Analysis, Setup};
use crate::fill::cells::Resolution;
use crate::geom::Direction;
use crate::mesh::{TriMesh, shapes, stl};
use crate::mold::milling::outcome::CellSize;
use crate::process::plastic::library::Plastics;
use crate::process::press::Press;
use crate::settings::{FillChoices, MillChoices, Settings};

/// What is asked about a part: along z, in millimeters, with few samples and cells,
/// for the filling and for the cutters.
pub(crate) fn fixture_settings() -> Settings {
    let fill = FillChoices { cells: Resolution::Budget(200), ..FillChoices::default() };
    let milling = MillChoices { cell: CellSize::Edge(0.4), ..MillChoices::default() };
    Settings {
        pull: Some(Direction::Z),
        samples: 3000,
        fill,
        milling,
        ..Settings::default()
    }
}

/// The same without the filling, so that all the press has counts.
pub(crate) fn unfilled_settings() -> Settings {
    let fill = FillChoices { skip: true, ..FillChoices::default() };
    Settings { fill, ..fixture_settings() }
}

/// The example press and `plastic`.
pub(crate) fn setup(plastic: &str) -> Setup {
    Setup {
        press: Press::builtin().unwrap(),
        press_given: false,
        plastic: Plastics::builtin().unwrap().find(plastic).unwrap().clone(),
        plastic_given: true,
        sources: Plastics::builtin().unwrap().sources(),
        found: Vec::new(),
    }
}

/// Everything about `mesh`, in polypropylene on the example press.
pub(crate) fn analysis(mesh: &TriMesh) -> Analysis {
    with(mesh, setup("pp"), &fixture_settings())
}

pub(crate) fn with(mesh: &TriMesh, setup: Setup, settings: &Settings) -> Analysis {
    analysis::run(stl_bytes(mesh), setup, settings, &|_| {}).unwrap()
}

/// `mesh` as a file.
pub(crate) fn stl_bytes(mesh: &TriMesh) -> Vec<u8> {
    let mut bytes = Vec::new();
    let facets = (0..mesh.facets().len()).map(|facet| mesh.corners(facet));
    stl::write(facets, &mut bytes).unwrap();
    bytes
}

/// A sound part: even walls of 3 mm and 3° of draft.
pub(crate) fn plug() -> TriMesh {
    shapes::cup(12.0, 15.0, 3.0, 3.0, 96)
}

/// `mesh` without one facet.
pub(crate) fn open(mesh: &TriMesh) -> TriMesh {
    TriMesh::new(mesh.points().to_vec(), mesh.facets()[1..].to_vec())
}
