//! Fills the model of a mold.

use crate::analysis::Analysis;
use crate::analysis::mold::MoldDesign;
use crate::findings;
use crate::geom::{Aabb, Point, Vector};
use crate::mold::brep::{Made, NoBrep};
use crate::mold::build::Mold;
use crate::mold::cut_feature::Kind;
use crate::mold::inserts::{Insert, Shape};
use crate::mold::mold_checks::Volumes;
use crate::mold::pose::Pose;
use crate::process::plastic::shrinkage::Shrinkage;
use crate::schema::assemble::milling;
use crate::schema::mold::{
    Axes, MoldCheck, MoldFeed, MoldParting, MoldReport, MoldVolumes, PartCheck,
    PlateThickness, SCHEMA, SetIn, Standing, StepFile,
};
use crate::schema::mold::{drill, programs, sheets};
use crate::schema::{BoundingBox, CutterUse, Report, Tool, words};
use crate::units::{Quantity, format::four_digits, in_mm};

/// The model of a mold for the part that `check` reports on.
pub fn report(analysis: &Analysis, tooled: &MoldDesign, check: &Report) -> MoldReport {
    let mold = &tooled.mold;
    let axes = &mold.axes;
    let [x, y, z] = mold.layout.block;
    let corner = axes.in_pose(&Point::new(x[0], y[0], 0.0));
    let volumes = Volumes::measure(mold);
    let bolts = analysis.setup.press.bolts().filter(|_| !tooled.without.bolts);
    let (cutters, unreached) = milling(tooled);
    MoldReport {
        schema: SCHEMA,
        tool: Tool {
            name: env!("CARGO_PKG_NAME").to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
        file: check.part.file.clone(),
        shown_units: check.shown_units,
        check: part_check(check),
        scale: axes.scale(),
        scale_axes: axes.scales(),
        scale_about_mm: axes.origin().into(),
        pull: analysis.release.pull.vector().into(),
        core_side: mold.core,
        axes: Axes {
            datum_mm: corner.into(),
            x: axes.turned(&Vector::x()).into(),
            y: axes.turned(&Vector::y()).into(),
        },
        block_mm: around(tooled),
        size_mm: [x, y, z].map(|[low, high]| high - low),
        plates_mm: PlateThickness {
            cavity: mold.layout.thickness(mold.core.other()),
            core: mold.layout.thickness(mold.core),
        },
        alloy: mold.layout.plates.alloy.metal().name.to_owned(),
        cavities: mold.star.count,
        parting: parting(mold),
        volumes_mm3: MoldVolumes {
            block: volumes.block,
            cavity: volumes.cavity,
            core: volumes.core,
            part: volumes.part,
            feed: volumes.feed,
            holes: volumes.holes,
        },
        checks: checks(tooled),
        cutters,
        unreached,
        feed: feed(tooled),
        drill: drill::holes(mold),
        bill: drill::bill(mold, bolts),
        pose: match tooled.pose {
            Pose::Part => "part",
            Pose::Milling => "milling",
        },
        inserts: inserts(tooled),
        sheets: sheets::sheets(tooled),
        programs: programs::programs(tooled),
        test_piece: None,
        step_files: step_files(tooled),
        assumptions: assumptions(analysis, tooled),
    }
}

fn parting(mold: &Mold) -> MoldParting {
    MoldParting {
        flat: mold.surface.is_flat,
        rise_mm: if mold.surface.is_flat { 0.0 } else { mold.surface.rise },
        loops: mold.outer.len() + mold.inner.len(),
        shut_offs: mold.inner.len(),
    }
}

fn part_check(check: &Report) -> PartCheck {
    let answer = &check.answer;
    PartCheck {
        verdict: check.verdict,
        why: answer.why.clone(),
        judged_with: words::judged_with(&answer.judged_with),
        do_first: answer.do_first.iter().map(|step| step.change.clone()).collect(),
        then: answer.then.clone(),
    }
}

fn inserts(tooled: &MoldDesign) -> Vec<SetIn> {
    let mold = &tooled.mold;
    let entry = |(name, insert): (String, &Insert)| {
        let (bar, size) = insert.bar();
        let (screws, thread) = insert.screws;
        SetIn {
            name,
            half: insert.half.role(mold.core),
            at_mm: drill::seen(mold, insert.half, insert.at),
            section_mm: match insert.shape {
                Shape::Round { diameter } => vec![diameter],
                Shape::Bar { edges } => edges.to_vec(),
            },
            corner_mm: insert.shape.corner(),
            depth_mm: insert.depth,
            height_mm: insert.height,
            bar: format!("{bar} {size}"),
            screws,
            thread: thread.to_owned(),
        }
    };
    mold.insert_names().into_iter().zip(&mold.inserts).map(entry).collect()
}

fn step_files(tooled: &MoldDesign) -> Vec<StepFile> {
    let file = |made: &Made| {
        let brep = made.brep.as_ref();
        let holes = brep.map(|it| it.holes).unwrap_or_default();
        StepFile {
            file: format!("{}.step", made.name),
            faces: brep.ok().map(|it| it.faces.len()),
            round_holes: holes.all,
            true_round_holes: holes.true_round,
            left_out: brep.err().map(NoBrep::to_string),
        }
    };
    tooled.for_cad.iter().map(file).collect()
}

fn checks(tooled: &MoldDesign) -> Vec<MoldCheck> {
    let axes = &tooled.mold.axes;
    let posed = |point: &Point| -> [f64; 3] { axes.in_pose(point).into() };
    tooled
        .checks
        .iter()
        .map(|check| MoldCheck {
            name: check.name.clone(),
            value: check.value.filter(|value| value.is_finite()),
            limit: check.limit,
            unit: check.unit.to_owned(),
            ok: check.ok,
            at_mm: check.at.as_ref().map(posed),
        })
        .collect()
}

/// What the cutters do and what they leave.
fn milling(tooled: &MoldDesign) -> (Option<Vec<CutterUse>>, Option<Standing>) {
    let cutting = tooled.cutting.as_ref().ok();
    let milling = milling::milling(cutting, false);
    let standing = cutting.map(|cutting| {
        let milled = &cutting.milled;
        let worst = milled.unreached.first();
        Standing {
            cavity_mm3: milled.left_in(tooled.mold.core.other()),
            core_mm3: milled.left_in(tooled.mold.core),
            worst_mm: worst.map_or(0.0, |place| place.left),
            at_mm: worst.map(|place| place.at.into()),
            cell_mm: milled.cell(),
            least_told_mm: milled.limit,
            time_min: milling.time_min.unwrap_or_default(),
            places: milling.unreached.unwrap_or_default(),
        }
    });
    (milling.cutters, standing)
}

fn feed(tooled: &MoldDesign) -> Option<MoldFeed> {
    let mold = &tooled.mold;
    let [x, y, _] = mold.layout.block;
    let posed = |point: &Point| -> [f64; 3] { mold.axes.in_pose(point).into() };
    mold.way.as_ref().map(|way| {
        let sprue = Point::new(way.sprue[0], way.sprue[1], way.gate.z);
        let off = [x, y].map(|[low, high]| f64::midpoint(low, high));
        MoldFeed {
            gate_mm: posed(&way.gate),
            gate_moved_mm: tooled.gate_moved,
            sprue_mm: posed(&sprue),
            sprue_off_middle_mm: (sprue.x - off[0]).hypot(sprue.y - off[1]),
        }
    })
}

/// The box around the block in the pose of the part.
fn around(tooled: &MoldDesign) -> BoundingBox {
    let mold = &tooled.mold;
    let [x, y, z] = mold.layout.block;
    let corners = (0..8).map(|corner: usize| {
        let pick = |[low, high]: [f64; 2], bit: usize| {
            if corner >> bit & 1 == 0 { low } else { high }
        };
        mold.axes.in_pose(&Point::new(pick(x, 0), pick(y, 1), pick(z, 2)))
    });
    let corners: Vec<Point> = corners.collect();
    let around = Aabb::around(&corners);
    BoundingBox { min: around.min.into(), max: around.max.into() }
}

/// What the part is taken to shrink.
fn shrinkage(analysis: &Analysis) -> Vec<String> {
    let line = |along: &str, band: &Shrinkage| {
        let [low, nominal, high] =
            [band.low, band.nominal, band.high].map(|share| 100.0 * share.si());
        format!(
            "shrinkage{along} {nominal:.2} %, of {low:.2} to {high:.2} %: leave metal where a size matters"
        )
    };
    match (&analysis.evaluation.shrink_axes, &analysis.evaluation.shrinkage) {
        (Some(axes), _) => [" along x", " along y", " along z"]
            .iter()
            .zip(axes)
            .map(|(along, band)| line(along, band))
            .collect(),
        (None, Ok(band)) => vec![line("", band)],
        (None, Err(_)) => Vec::new(),
    }
}

/// The ball cutter of the runner, where the list of cutters lacks it.
fn runner_cutter(tooled: &MoldDesign) -> Option<String> {
    let cutting = tooled.cutting.as_ref().ok()?;
    let runner = tooled
        .mold
        .layout
        .cuts
        .iter()
        .find(|cut| cut.kind == Kind::Runner && cut.in_both)?;
    let balls = cutting.list.runner_cutters();
    let has = balls.iter().any(|ball| (in_mm(*ball) - runner.width).abs() < 1e-6);
    (!has).then(|| {
        format!(
            "the runner wants a ball cutter of {} mm, which the list of cutters lacks: a smaller ball takes more passes (--runner, --tools)",
            four_digits(runner.width)
        )
    })
}

fn assumptions(analysis: &Analysis, tooled: &MoldDesign) -> Vec<String> {
    let mut all = Vec::new();
    if !analysis.unit_given {
        all.push("one unit of the file is one mm (--unit)".to_owned());
    }
    all.extend(findings::assumptions::found_in_words(&analysis.setup.found));
    if !analysis.setup.press_given {
        all.push("the press is the built-in example (--press)".to_owned());
    }
    if !analysis.setup.plastic_given {
        all.push(format!("the plastic is {} (--plastic)", analysis.setup.plastic.name));
    }
    all.extend(shrinkage(analysis));
    if analysis.as_milled {
        all.push(
            "gate, vents and pins are those of the part as milled (--as-milled); the solids are as drawn"
                .to_owned(),
        );
    }
    all.extend(runner_cutter(tooled));
    all.extend(tooled.notes.iter().cloned());
    match &tooled.cutting {
        Ok(cutting) => all.extend(findings::milling::taken(cutting)),
        Err(reason) => {
            all.push(format!("what the cutters leave is not known: {reason}"));
        }
    }
    all.push(
        "the seat of the nozzle is flat: turn it to the radius of yours and a little more"
            .to_owned(),
    );
    all.push(
        "round holes are polygons of 48 sides in the solids; drill by the table"
            .to_owned(),
    );
    let unknown =
        tooled.checks.iter().filter_map(|it| Some((&it.name, it.why.as_ref()?)));
    all.extend(unknown.map(|(name, why)| format!("{name}: not known, because {why}")));
    let no_limit = |name: &str| {
        tooled.checks.iter().any(|it| it.ok.is_none() && it.name.contains(name))
    };
    if no_limit("opening of the press") {
        all.push("the opening of the press is not known (--opening)".to_owned());
    }
    if no_limit("travel of the mill") {
        all.push("the travel of the mill is not known (--travel)".to_owned());
    }
    all
}
