//! Small meshes that are odd in one way each, as proptest draws them and as files.

use goodshot::geom::{Point, Vector};
use goodshot::mesh::{TriMesh, shapes, stl};
use nalgebra::Rotation3;
use proptest::prelude::{Just, Strategy, prop, prop_oneof};

/// Three corners each.
pub(crate) type Soup = Vec<[Point; 3]>;

/// A mesh of one of the kinds that readers and measures stumble over, from a millionth of a
/// millimeter to a kilometer in size.
pub(crate) fn odd() -> impl Strategy<Value = Soup> {
    let kinds =
        prop_oneof![soup(), sheet(), needles(), nested(), doubled(), sound(), crossing()];
    let turn = prop::array::uniform3(-3.2_f64..3.2);
    let (scale, away) = (-6.0..6.0_f64, prop::option::of(-6.0..6.0_f64));
    (kinds, turn, scale, away).prop_map(|(soup, [x, y, z], scale, away)| {
        let turn = Rotation3::from_euler_angles(x, y, z);
        let (scale, away) =
            (10_f64.powf(scale) / 10.0, away.map_or(0.0, |it| 10_f64.powf(it)));
        let place = |at: Point| turn * at * scale + Vector::repeat(away);
        soup.into_iter().map(|corners| corners.map(place)).collect()
    })
}

/// The same at the size of a part.
pub(crate) fn of_a_part() -> impl Strategy<Value = Soup> {
    let kinds = prop_oneof![nested(), doubled(), sound(), sound(), crossing()];
    (kinds, 1.0..10.0_f64).prop_map(|(soup, scale)| {
        soup.into_iter().map(|corners| corners.map(|at| at * scale)).collect()
    })
}

fn corner() -> impl Strategy<Value = Point> {
    prop::array::uniform3(-5.0..5.0_f64).prop_map(Point::from)
}

/// Facets anywhere.
fn soup() -> impl Strategy<Value = Soup> {
    prop::collection::vec(prop::array::uniform3(corner()), 1..40)
}

/// A surface without an inside, flat or bent.
fn sheet() -> impl Strategy<Value = Soup> {
    (1_u32..7, 1_u32..7, 0.0..2.0_f64).prop_map(|(across, along, bend)| {
        let at = |i: u32, j: u32| {
            let (x, y) = (f64::from(i), f64::from(j));
            Point::new(x, y, bend * (x - 0.3 * y * y).sin())
        };
        let squares = (0..across).flat_map(|i| (0..along).map(move |j| (i, j)));
        squares
            .flat_map(|(i, j)| {
                let [a, b] = [at(i, j), at(i + 1, j)];
                let [c, d] = [at(i + 1, j + 1), at(i, j + 1)];
                [[a, b, c], [a, c, d]]
            })
            .collect()
    })
}

/// Facets thousands of times longer than wide.
fn needles() -> impl Strategy<Value = Soup> {
    let needle = (corner(), corner(), -9.0..-1.0_f64, corner());
    prop::collection::vec(needle, 1..60).prop_map(|all| {
        let one = |(a, b, thin, c): (Point, Point, f64, Point)| {
            [a, b, a + (c - a) * 10_f64.powf(thin)]
        };
        all.into_iter().map(one).collect()
    })
}

/// Boxes in boxes, some of them inside out.
fn nested() -> impl Strategy<Value = Soup> {
    prop::collection::vec((0.05..1.0_f64, prop::bool::ANY), 1..5).prop_map(|shells| {
        let mut all = Vec::new();
        for (scale, inside_out) in shells {
            let shell = triangles(&shapes::cuboid(9.0, 8.0, 7.0));
            let middle = Vector::new(4.5, 4.0, 3.5);
            let place = |at: Point| Point::from((at.coords - middle) * scale);
            all.extend(shell.into_iter().map(|corners| {
                let [a, b, c] = corners.map(place);
                if inside_out { [a, c, b] } else { [a, b, c] }
            }));
        }
        all
    })
}

/// A solid with facets that come twice, are turned, or are gone.
fn doubled() -> impl Strategy<Value = Soup> {
    let changes = prop::collection::vec((0_usize..1000, 0_usize..4), 0..8);
    (sound(), changes).prop_map(|(mut soup, changes)| {
        for (at, change) in changes {
            let at = at % soup.len();
            let [a, b, c] = soup[at];
            match change {
                0 => soup.push([a, b, c]),
                1 => soup[at] = [a, c, b],
                2 => soup.push([a, c, b]),
                _ if soup.len() > 1 => drop(soup.swap_remove(at)),
                _ => {}
            }
        }
        soup
    })
}

/// A solid as it should be.
fn sound() -> impl Strategy<Value = Soup> {
    let size = || 0.2..9.0_f64;
    prop_oneof![
        (size(), size(), size()).prop_map(|(x, y, z)| shapes::cuboid(x, y, z)),
        (1.0..9.0_f64, 1.0..9.0_f64, 0.05..0.45_f64).prop_map(|(x, y, share)| {
            shapes::tray([x, y, x.min(y)], share * x.min(y))
        }),
        (size(), size(), size(), 3_usize..12)
            .prop_map(|(a, b, h, n)| shapes::cone(a, b, h, n)),
        (0.3..0.95_f64, size(), 3_usize..12)
            .prop_map(|(share, h, n)| { shapes::tube(5.0 * share, 5.0, h, n) }),
        (1.0..5.0_f64, 4_usize..9).prop_map(|(r, n)| shapes::ball(r, 2 * n)),
        Just(shapes::torus(5.0, 1.5, 8)),
    ]
    .prop_map(|mesh| triangles(&mesh))
}

/// Two solids through each other.
fn crossing() -> impl Strategy<Value = Soup> {
    (sound(), sound(), corner()).prop_map(|(mut one, other, by)| {
        let by = by.coords / 3.0;
        one.extend(other.into_iter().map(|corners| corners.map(|at| at + by)));
        one
    })
}

fn triangles(mesh: &TriMesh) -> Soup {
    let at = |corner: u32| mesh.points()[corner as usize];
    mesh.facets().iter().map(|facet| facet.map(at)).collect()
}

/// As a binary STL.
pub(crate) fn binary(soup: &[[Point; 3]]) -> Vec<u8> {
    let mut bytes = Vec::new();
    stl::write(soup.iter().copied(), &mut bytes).unwrap();
    bytes
}

/// As a text.
fn text(soup: &[[Point; 3]]) -> Vec<u8> {
    let mut text = "solid plug\n".to_owned();
    for corners in soup {
        text.push_str("facet normal 0 0 0\nouter loop\n");
        for at in corners {
            text.push_str(&format!("vertex {} {} {}\n", at.x, at.y, at.z));
        }
        text.push_str("endloop\nendfacet\n");
    }
    (text + "endsolid plug\n").into_bytes()
}

/// Small files to begin with.
pub(crate) fn files() -> Vec<Vec<u8>> {
    let tray = triangles(&shapes::tray([30.0, 20.0, 10.0], 2.0));
    let tip = triangles(&shapes::cone(3.0, 0.0, 6.0, 7));
    let one = triangles(&shapes::cuboid(2.0, 1.0, 0.125));
    vec![binary(&tray), binary(&tip), binary(&one), text(&tip), text(&one)]
}
