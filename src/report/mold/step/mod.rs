//! Solids for CAD and CAM as STEP (ISO 10303-21, application protocol 214): boundary representations of
//! planes, cylinders and cones in millimeters.
//!
//! | question | file |
//! |---|---|
//! | how is the text of an exchange file written | [`exchange`] |
//!
//! Entities are those of ISO 10303-42: an `ADVANCED_FACE` on its surface for each face, bounded by
//! loops of `EDGE_CURVE`s on lines, circles and ellipses, joined to one `MANIFOLD_SOLID_BREP` a body.

mod exchange;

use crate::geom::{Point, Vector};
use crate::mold::brep::{Brep, Curve, Edge, Face, Shape};
use exchange::{Entity, Exchange, angle, length, list};

/// Places may be off by this, mm: what single precision leaves of the corners of the part.
const UNCERTAINTY: &str = "1.E-5";

/// Half axes that differ by less, mm, are those of a circle.
const ROUND_MM: f64 = 1e-9;

/// `brep` as a file named `name`.step.
pub(crate) fn write(name: &str, brep: &Brep) -> Vec<u8> {
    let mut file = Exchange::default();
    let points: Vec<Entity> = brep.corners.iter().map(|at| file.point(at)).collect();
    let vertices: Vec<Entity> = points
        .iter()
        .map(|point| file.add(format_args!("VERTEX_POINT('',{point})")))
        .collect();
    let edges: Vec<Entity> = brep
        .edges
        .iter()
        .map(|edge| {
            let curve = curve(&mut file, brep, &points, edge);
            let [from, to] = edge.ends.map(|end| vertices[end]);
            file.add(format_args!("EDGE_CURVE('',{from},{to},{curve},.T.)"))
        })
        .collect();
    let mut bodies = vec![Vec::new(); brep.bodies];
    for each in &brep.faces {
        bodies[each.body].push(face(&mut file, each, &edges));
    }
    let solids: Vec<Entity> = bodies
        .iter()
        .map(|faces| {
            let shell = file.add(format_args!("CLOSED_SHELL('',{})", list(faces)));
            file.add(format_args!("MANIFOLD_SOLID_BREP('{name}',{shell})"))
        })
        .collect();
    product(&mut file, name, &solids);
    file.file(&format!("{name}.step"), name)
}

fn curve(file: &mut Exchange, brep: &Brep, points: &[Entity], edge: &Edge) -> Entity {
    match &edge.curve {
        Curve::Line => {
            let [from, to] = edge.ends.map(|end| brep.corners[end]);
            let way = (to - from).try_normalize(f64::MIN_POSITIVE);
            let way = file.direction(&way.unwrap_or_else(Vector::x));
            let vector = file.add(format_args!("VECTOR('',{way},1.)"));
            let start = points[edge.ends[0]];
            file.add(format_args!("LINE('',{start},{vector})"))
        }
        Curve::Ellipse { center, normal, major, half_axes: [longer, shorter] } => {
            let axes = file.axes(center, normal, major);
            let [a, b] = [length(*longer), length(*shorter)];
            if longer - shorter < ROUND_MM {
                file.add(format_args!("CIRCLE('',{axes},{b})"))
            } else {
                file.add(format_args!("ELLIPSE('',{axes},{a},{b})"))
            }
        }
    }
}

fn face(file: &mut Exchange, face: &Face, edges: &[Entity]) -> Entity {
    let surface = match &face.shape {
        Shape::Plane { at, normal } => {
            let axes = file.axes(at, normal, &across(normal));
            file.add(format_args!("PLANE('',{axes})"))
        }
        Shape::Round { at, axis, radius, lean } => {
            round(file, at, axis, [*radius, *lean])
        }
    };
    let mut bounds = Vec::new();
    for (number, around) in face.loops.iter().enumerate() {
        let oriented: Vec<Entity> = around
            .iter()
            .map(|&(edge, is_forward)| {
                let (edge, way) = (edges[edge], flag(is_forward));
                file.add(format_args!("ORIENTED_EDGE('',*,*,{edge},{way})"))
            })
            .collect();
        let around = file.add(format_args!("EDGE_LOOP('',{})", list(&oriented)));
        let kind = if number == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
        bounds.push(file.add(format_args!("{kind}('',{around},.T.)")));
    }
    let (bounds, way) = (list(&bounds), flag(face.is_along));
    file.add(format_args!("ADVANCED_FACE('',{bounds},{surface},{way})"))
}

/// A cylinder, or a cone by its lean.
fn round(
    file: &mut Exchange,
    at: &Point,
    axis: &Vector,
    [radius, lean]: [f64; 2],
) -> Entity {
    let axes = file.axes(at, axis, &across(axis));
    let radius = length(radius);
    if lean > 0.0 {
        let lean = angle(lean);
        file.add(format_args!("CONICAL_SURFACE('',{axes},{radius},{lean})"))
    } else {
        file.add(format_args!("CYLINDRICAL_SURFACE('',{axes},{radius})"))
    }
}

/// A direction across another one: as far along the axis that it leans to least.
fn across(way: &Vector) -> Vector {
    let [x, y, z] = [way.x.abs(), way.y.abs(), way.z.abs()];
    let axis = if x <= y && x <= z {
        Vector::x()
    } else if y <= z {
        Vector::y()
    } else {
        Vector::z()
    };
    (axis - way * way.dot(&axis)).normalize()
}

fn flag(is_set: bool) -> &'static str {
    if is_set { ".T." } else { ".F." }
}

/// The product that the solids are the shape of, in millimeters.
fn product(file: &mut Exchange, name: &str, solids: &[Entity]) {
    let millimeter =
        file.add(format_args!("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))"));
    let radian =
        file.add(format_args!("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))"));
    let steradian =
        file.add(format_args!("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())"));
    let uncertainty = file.add(format_args!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({UNCERTAINTY}),{millimeter},'distance_accuracy_value','')"
    ));
    let context = file.add(format_args!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({uncertainty}))\
         GLOBAL_UNIT_ASSIGNED_CONTEXT(({millimeter},{radian},{steradian}))REPRESENTATION_CONTEXT('',''))"
    ));
    let origin = file.axes(&Point::origin(), &Vector::z(), &Vector::x());
    let items = [&[origin], solids].concat();
    let shape = file.add(format_args!(
        "ADVANCED_BREP_SHAPE_REPRESENTATION('{name}',{},{context})",
        list(&items)
    ));
    let application = file.add(format_args!("APPLICATION_CONTEXT('automotive design')"));
    file.add(format_args!(
        "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design',2001,{application})"
    ));
    let of = file.add(format_args!("PRODUCT_CONTEXT('',{application},'mechanical')"));
    let product = file.add(format_args!("PRODUCT('{name}','{name}','',({of}))"));
    file.add(format_args!("PRODUCT_RELATED_PRODUCT_CATEGORY('part','',({product}))"));
    let formation =
        file.add(format_args!("PRODUCT_DEFINITION_FORMATION('','',{product})"));
    let stage = file.add(format_args!(
        "PRODUCT_DEFINITION_CONTEXT('part definition',{application},'design')"
    ));
    let definition =
        file.add(format_args!("PRODUCT_DEFINITION('design','',{formation},{stage})"));
    let shaped = file.add(format_args!("PRODUCT_DEFINITION_SHAPE('','',{definition})"));
    file.add(format_args!("SHAPE_DEFINITION_REPRESENTATION({shaped},{shape})"));
}
