//! A drawing as a DXF file of release 2000 (`AC1015`), in millimeters: layers, polylines and
//! circles. The group codes are those of Autodesk's DXF reference for that release.
//!
//! Same drawing, same bytes: a file has no date, and its handles count up.

use std::fmt::Write;

/// Decimals that are kept, as steps in a millimeter: a nanometer.
const STEPS_PER_MM: f64 = 1e6;
/// `$INSUNITS` of millimeters.
const MILLIMETERS: &str = "4";
/// The owner of what no object owns.
const ROOT: &str = "0";

/// A layer: its name and its index color.
pub(crate) type Layer<'a> = (&'a str, u8);

/// A shape on a layer.
enum Shape {
    Circle {
        center: [f64; 2],
        radius: f64,
    },
    /// With its heights where it is drawn in space.
    Polyline {
        corners: Vec<[f64; 3]>,
        is_closed: bool,
        in_space: bool,
    },
}

/// A drawing in the making.
pub(crate) struct Drawing<'a> {
    layers: &'a [Layer<'a>],
    shapes: Vec<(&'a str, Shape)>,
    bounds: [[f64; 3]; 2],
}

impl<'a> Drawing<'a> {
    /// An empty drawing with these layers.
    pub(crate) fn new(layers: &'a [Layer<'a>]) -> Self {
        let bounds = [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]];
        Self { layers, shapes: Vec::new(), bounds }
    }

    /// Adds a line at height zero.
    pub(crate) fn line(
        &mut self,
        layer: &'a str,
        corners: impl IntoIterator<Item = [f64; 2]>,
        is_closed: bool,
    ) {
        let corners = corners.into_iter().map(|[x, y]| [x, y, 0.0]);
        let corners = self.add_corners(corners, is_closed);
        self.polyline(layer, Shape::Polyline { corners, is_closed, in_space: false });
    }

    /// Adds a line in space.
    pub(crate) fn line_in_space(
        &mut self,
        layer: &'a str,
        corners: impl Iterator<Item = [f64; 3]>,
        is_closed: bool,
    ) {
        let corners = self.add_corners(corners, is_closed);
        self.polyline(layer, Shape::Polyline { corners, is_closed, in_space: true });
    }

    /// A line of fewer than two corners is none.
    fn polyline(&mut self, layer: &'a str, line: Shape) {
        if matches!(&line, Shape::Polyline { corners, .. } if corners.len() > 1) {
            self.shapes.push((layer, line));
        }
    }

    /// The corners as they are written, neighbors that fall together once.
    fn add_corners(
        &mut self,
        corners: impl Iterator<Item = [f64; 3]>,
        is_closed: bool,
    ) -> Vec<[f64; 3]> {
        let bits = |at: &[f64; 3]| at.map(f64::to_bits);
        let mut corners: Vec<[f64; 3]> = corners.map(|at| at.map(rounded)).collect();
        corners.dedup_by_key(|at| bits(at));
        let ends_at_start = corners.first().map(bits) == corners.last().map(bits);
        if is_closed && corners.len() > 1 && ends_at_start {
            corners.pop();
        }
        for &corner in &corners {
            self.extend_bounds(corner);
        }
        corners
    }

    /// Adds a circle at height zero.
    pub(crate) fn circle(&mut self, layer: &'a str, center: [f64; 2], radius: f64) {
        let ([x, y], radius) = (center.map(rounded), rounded(radius));
        self.extend_bounds([x - radius, y - radius, 0.0]);
        self.extend_bounds([x + radius, y + radius, 0.0]);
        self.shapes.push((layer, Shape::Circle { center: [x, y], radius }));
    }

    fn extend_bounds(&mut self, at: [f64; 3]) {
        let [low, high] = &mut self.bounds;
        for axis in 0..3 {
            low[axis] = low[axis].min(at[axis]);
            high[axis] = high[axis].max(at[axis]);
        }
    }

    /// The file.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        // The header says the first handle that is free, so it is written last.
        let mut rest = Groups::default();
        rest.section("CLASSES", |_| {});
        let spaces = tables(&mut rest, self.layers);
        blocks(&mut rest, &spaces);
        rest.section("ENTITIES", |groups| {
            for (layer, shape) in &self.shapes {
                entity(groups, layer, &spaces[0], shape);
            }
        });
        objects(&mut rest);
        rest.put(0, "EOF");
        let mut head = Groups::default();
        head.section("HEADER", |groups| {
            groups.variable("ACADVER", 1, "AC1015");
            groups.variable("HANDSEED", 5, &format!("{:X}", rest.handles + 1));
            groups.variable("INSUNITS", 70, MILLIMETERS);
            groups.variable("MEASUREMENT", 70, "1");
            if self.bounds[0][0] <= self.bounds[1][0] {
                for (name, at) in ["EXTMIN", "EXTMAX"].into_iter().zip(self.bounds) {
                    groups.put(9, &format!("${name}"));
                    groups.place(at);
                }
            }
        });
        (head.text + &rest.text).into_bytes()
    }
}

fn rounded(value: f64) -> f64 {
    (value * STEPS_PER_MM).round() / STEPS_PER_MM + 0.0
}

/// Groups: a code and a value on two lines.
#[derive(Default)]
struct Groups {
    text: String,
    handles: u32,
}

impl Groups {
    fn put(&mut self, code: u16, value: &str) {
        // Into memory; a string takes all.
        let _ = write!(self.text, "{code:>3}\n{value}\n");
    }

    fn number(&mut self, code: u16, value: f64) {
        // Not every reader takes an exponent.
        let short = format!("{value:?}");
        let has_exponent = short.contains('e');
        self.put(code, &if has_exponent { format!("{value:.6}") } else { short });
    }

    fn place(&mut self, [x, y, z]: [f64; 3]) {
        self.number(10, x);
        self.number(20, y);
        self.number(30, z);
    }

    fn variable(&mut self, name: &str, code: u16, value: &str) {
        self.put(9, &format!("${name}"));
        self.put(code, value);
    }

    fn section(&mut self, name: &str, fill: impl FnOnce(&mut Self)) {
        self.put(0, "SECTION");
        self.put(2, name);
        fill(self);
        self.put(0, "ENDSEC");
    }

    /// Writes the next free handle and gives it.
    fn next_handle(&mut self) -> String {
        self.handles += 1;
        let handle = format!("{:X}", self.handles);
        self.put(5, &handle);
        handle
    }

    /// Begins an object and gives its handle.
    fn begin(&mut self, kind: &str, owner: &str, classes: &[&str]) -> String {
        self.put(0, kind);
        let handle = self.next_handle();
        self.put(330, owner);
        for class in classes {
            self.put(100, class);
        }
        handle
    }

    /// A table whose records `fill` writes below its handle.
    fn table(&mut self, name: &str, records: usize, fill: impl FnOnce(&mut Self, &str)) {
        self.put(0, "TABLE");
        self.put(2, name);
        let handle = self.next_handle();
        self.put(330, ROOT);
        self.put(100, "AcDbSymbolTable");
        self.put(70, &records.to_string());
        if name == "DIMSTYLE" {
            self.put(100, "AcDbDimStyleTable");
            self.put(71, "0");
        }
        fill(self, &handle);
        self.put(0, "ENDTAB");
    }

    fn record(&mut self, kind: &str, table: &str, class: &str, name: &str) -> String {
        let handle = self.begin(kind, table, &["AcDbSymbolTableRecord", class]);
        self.put(2, name);
        handle
    }
}

/// The tables that a reader expects; gives the handles of model space and paper space.
fn tables(groups: &mut Groups, layers: &[Layer<'_>]) -> [String; 2] {
    let mut spaces = [String::new(), String::new()];
    groups.section("TABLES", |groups| {
        groups.table("VPORT", 0, |_, _| {});
        groups.table("LTYPE", 3, |groups, table| {
            for name in ["ByBlock", "ByLayer", "Continuous"] {
                groups.record("LTYPE", table, "AcDbLinetypeTableRecord", name);
                groups.put(70, "0");
                groups.put(3, "");
                groups.put(72, "65");
                groups.put(73, "0");
                groups.number(40, 0.0);
            }
        });
        groups.table("LAYER", layers.len() + 1, |groups, table| {
            for (name, color) in [("0", 7)].iter().chain(layers) {
                groups.record("LAYER", table, "AcDbLayerTableRecord", name);
                groups.put(70, "0");
                groups.put(62, &color.to_string());
                groups.put(6, "Continuous");
            }
        });
        groups.table("STYLE", 1, |groups, table| {
            groups.record("STYLE", table, "AcDbTextStyleTableRecord", "Standard");
            groups.put(70, "0");
            for (code, value) in [(40, 0.0), (41, 1.0), (50, 0.0)] {
                groups.number(code, value);
            }
            groups.put(71, "0");
            groups.number(42, 2.5);
            groups.put(3, "txt");
            groups.put(4, "");
        });
        groups.table("VIEW", 0, |_, _| {});
        groups.table("UCS", 0, |_, _| {});
        groups.table("APPID", 1, |groups, table| {
            groups.record("APPID", table, "AcDbRegAppTableRecord", "ACAD");
            groups.put(70, "0");
        });
        groups.table("DIMSTYLE", 0, |_, _| {});
        groups.table("BLOCK_RECORD", 2, |groups, table| {
            let class = "AcDbBlockTableRecord";
            spaces = SPACES.map(|name| groups.record("BLOCK_RECORD", table, class, name));
        });
    });
    spaces
}

/// Model space and paper space.
const SPACES: [&str; 2] = ["*Model_Space", "*Paper_Space"];

fn blocks(groups: &mut Groups, spaces: &[String; 2]) {
    groups.section("BLOCKS", |groups| {
        for (name, space) in SPACES.iter().zip(spaces) {
            let is_paper = *name == SPACES[1];
            groups.begin("BLOCK", space, &["AcDbEntity"]);
            if is_paper {
                groups.put(67, "1");
            }
            groups.put(8, "0");
            groups.put(100, "AcDbBlockBegin");
            groups.put(2, name);
            groups.put(70, "0");
            groups.place([0.0; 3]);
            groups.put(3, name);
            groups.put(1, "");
            groups.begin("ENDBLK", space, &["AcDbEntity"]);
            if is_paper {
                groups.put(67, "1");
            }
            groups.put(8, "0");
            groups.put(100, "AcDbBlockEnd");
        }
    });
}

/// The dictionary of the drawing, which names no group.
fn objects(groups: &mut Groups) {
    groups.section("OBJECTS", |groups| {
        let named = groups.handles + 2;
        let root = groups.begin("DICTIONARY", ROOT, &["AcDbDictionary"]);
        groups.put(281, "1");
        groups.put(3, "ACAD_GROUP");
        groups.put(350, &format!("{named:X}"));
        groups.begin("DICTIONARY", &root, &["AcDbDictionary"]);
        groups.put(281, "1");
    });
}

fn entity(groups: &mut Groups, layer: &str, space: &str, shape: &Shape) {
    match shape {
        Shape::Circle { center: [x, y], radius } => {
            groups.begin("CIRCLE", space, &["AcDbEntity"]);
            groups.put(8, layer);
            groups.put(100, "AcDbCircle");
            groups.place([*x, *y, 0.0]);
            groups.number(40, *radius);
        }
        Shape::Polyline { corners, is_closed, in_space } => {
            let class = if *in_space { "AcDb3dPolyline" } else { "AcDb2dPolyline" };
            let line = groups.begin("POLYLINE", space, &["AcDbEntity"]);
            groups.put(8, layer);
            groups.put(100, class);
            groups.put(66, "1");
            groups.place([0.0; 3]);
            groups.put(70, &(u8::from(*is_closed) + 8 * u8::from(*in_space)).to_string());
            for &corner in corners {
                groups.begin("VERTEX", &line, &["AcDbEntity"]);
                groups.put(8, layer);
                groups.put(100, "AcDbVertex");
                let vertex =
                    if *in_space { "AcDb3dPolylineVertex" } else { "AcDb2dVertex" };
                groups.put(100, vertex);
                groups.place(corner);
                groups.put(70, if *in_space { "32" } else { "0" });
            }
            groups.begin("SEQEND", &line, &["AcDbEntity"]);
            groups.put(8, layer);
        }
    }
}
