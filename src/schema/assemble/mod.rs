//! From the analysis to the [`Report`]: every number under its key, nothing new worked
//! out.

mod gauge;
mod process;
mod filling;
pub(crate) mod milling;
mod standing_metal;
mod first_shots;
mod process_sheet;

use crate::analysis::Analysis;
use crate::findings;
use crate::findings::{Finding, release_remedies};
use crate::geom::{Aabb, Point};
use crate::part::draft;
use crate::part::halves::Side;
use crate::part::surface_statistics::{self, Extreme};
use crate::schema::{
    Alternative, Bin, BoundingBox, Defect, Draft, Part, Parting, Pull, Quantiles, Region,
    Repair, Report, SCHEMA, SheetRow, ShortFace, ShutOff, Thickness, Tool, Undercut,
    UndercutRegion,
};
use crate::units;
use crate::units::us_words::ShownUnits;

/// Bars of the thickness histogram.
const BINS: usize = 40;
/// Least and greatest draft of the histogram of walls, degrees.
const WALL_DEG: [f64; 2] = [-10.0, 30.0];

/// The report on `analysis` of the file called `file` (without folders).
pub fn report(analysis: &Analysis, file: &str) -> Report {
    let findings = findings::judge(analysis);
    let sheet = process_sheet::rows(analysis);
    let assumptions = findings::assumptions::list(analysis);
    let verdict = findings::verdict(analysis, &findings);
    let causes = findings::causes::group(analysis, &findings);
    Report {
        schema: SCHEMA,
        tool: Tool {
            name: env!("CARGO_PKG_NAME").to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        },
        part: part(analysis, file),
        pull: pull(analysis),
        thickness: thickness(analysis),
        draft: draft(analysis),
        undercut: undercut(analysis),
        parting: parting(analysis),
        plastic: process::plastic(analysis),
        press: process::press(analysis),
        feed: process::feed(analysis),
        shot: process::shot(analysis),
        clamp: process::clamp(analysis),
        fill: filling::fill(analysis),
        cooling: process::cooling(analysis),
        shrinkage: process::shrinkage(analysis),
        ejection: process::ejection(analysis),
        vents: process::vents(analysis),
        milling: milling::milling(analysis.cutting.as_ref().ok(), analysis.as_milled),
        standing_metal: standing_metal::standing_metal(analysis),
        pressure_window: first_shots::window(analysis),
        first_shots: first_shots::first_shots(analysis),
        what_if: Vec::new(),
        verdict,
        shown_units: ShownUnits::default(),
        answer: findings::answer::answer(analysis, &causes, verdict),
        causes,
        sources: process_sheet::sources(
            analysis,
            &[&findings_text(&findings), &said(&sheet), &assumptions.join("\n")],
        ),
        sheet,
        findings,
        assumptions,
    }
}

fn findings_text(findings: &[Finding]) -> String {
    findings.iter().map(|finding| finding.basis.as_str()).collect::<Vec<_>>().join("\n")
}

fn said(sheet: &[SheetRow]) -> String {
    sheet.iter().map(|row| row.basis.as_str()).collect::<Vec<_>>().join("\n")
}

fn part(analysis: &Analysis, file: &str) -> Part {
    let healed = &analysis.healed;
    let solid = analysis.mass.solid;
    let mut defects: Vec<Defect> = healed
        .defects
        .iter()
        .map(|defect| Defect {
            kind: defect.kind.name().to_owned(),
            count: defect.count,
            at_mm: defect.at.map(Into::into),
        })
        .collect();
    if analysis.crossings.pairs > 0 {
        defects.push(Defect {
            kind: "self_intersection".to_owned(),
            count: analysis.crossings.pairs,
            at_mm: analysis.crossings.at.map(Into::into),
        });
    }
    let repair = |repair: &crate::mesh::heal::Repair| Repair {
        kind: repair.kind.name().to_owned(),
        count: repair.count,
        volume_mm3: repair.volume_mm3,
    };
    Part {
        file: file.to_owned(),
        unit: analysis.unit.name().to_owned(),
        unit_given: analysis.unit_given,
        facets: analysis.part.mesh.facets().len(),
        bodies: healed.bodies.len(),
        closed: analysis.part.closed,
        volume_mm3: solid.map(|solid| solid.volume),
        area_mm2: analysis.mass.area,
        centroid_mm: analysis.mass.centroid.into(),
        bounding_box_mm: bounding_box(&analysis.part.mesh.bounds()),
        inertia_mm5: solid.map(|solid| {
            let row = |i| [0, 1, 2].map(|j| solid.inertia[(i, j)]);
            [row(0), row(1), row(2)]
        }),
        chord_error_mm: analysis.part.faces.chord_error,
        defects,
        repairs: healed.repairs.iter().map(repair).collect(),
    }
}

fn pull(analysis: &Analysis) -> Pull {
    let opening = &analysis.release;
    let mesh = &analysis.part.mesh;
    let alternative = |other: &crate::part::pull::Scored| Alternative {
        direction: zero_tiny_parts(other.direction.vector().into()),
        undercut_area_mm2: other.trapped_area,
        undercut_volume_mm3: other.trapped_volume,
        short_area_mm2: other.short_area,
        undercut_depth_mm: other.trapped_depth,
        lowest_draft_deg: other.lowest_draft_deg,
        parting_rise_mm: other.parting_rise,
        height_mm: other.height,
        projected_area_mm2: other.projected_area,
        score: other.score,
        tied: other.tied,
    };
    Pull {
        direction: zero_tiny_parts(opening.pull.vector().into()),
        given: opening.pull_given,
        core_side: opening.core,
        height_mm: opening.height,
        projected_area_mm2: opening.silhouette.area,
        projected_centroid_mm: opening
            .silhouette
            .centroid_in_part(mesh, opening.pull)
            .into(),
        alternatives: opening.alternatives.iter().map(alternative).collect(),
    }
}

fn thickness(analysis: &Analysis) -> Thickness {
    let walls = &analysis.walls;
    let quantiles = |values: &[Option<f64>]| {
        surface_statistics::quantiles(values).map(|q| Quantiles {
            p05: q.p05,
            p50: q.p50,
            p95: q.p95,
        })
    };
    let limits = walls.limits.as_ref().ok();
    let top =
        surface_statistics::quantiles(&walls.thickness.ray).map_or(0.0, |q| 1.25 * q.p95);
    let shares = surface_statistics::histogram(&walls.thickness.ray, top, BINS);
    let step = top / BINS as f64;
    let bin = |(index, &share): (usize, &f64)| Bin {
        from: step * index as f64,
        to: step * (index + 1) as f64,
        share,
    };
    Thickness {
        samples: analysis.part.samples.len(),
        spacing_mm: analysis.part.samples.spacing(),
        ray_mm: quantiles(&walls.thickness.ray),
        ball_mm: quantiles(&walls.thickness.ball),
        limit_low_mm: limits.map(|limits| units::in_mm(limits.low)),
        limit_high_mm: limits.map(|limits| units::in_mm(limits.high)),
        thin: walls.thin.iter().map(region).collect(),
        thick: walls.thick.iter().map(region).collect(),
        ray_histogram: shares.iter().enumerate().map(bin).collect(),
    }
}

fn draft(analysis: &Analysis) -> Draft {
    let opening = &analysis.release;
    let area = |side: Side| {
        opening.sides.iter().filter(|&&other| other == side).count() as f64
            * analysis.part.samples.area_each
    };
    let face = |face: &draft::FaceDraft| ShortFace {
        area_mm2: face.area,
        draft_deg: face.draft_deg,
        height_mm: face.height,
        required_deg: face.required_deg,
        inside: face.inside,
        side: face.side,
        at_mm: face.at.into(),
    };
    Draft {
        required_deg: Some(opening.rule.required_deg(opening.height)),
        cavity_area_mm2: area(Side::Cavity),
        core_area_mm2: area(Side::Core),
        upright_area_mm2: area(Side::Upright),
        // Adding zero turns the −0 of an empty sum into 0.
        short_area_mm2: opening.short.iter().map(|face| face.area).sum::<f64>() + 0.0,
        histogram: draft_histogram(analysis),
        faces: opening.short.iter().map(face).collect(),
    }
}

/// Share of the walls at each degree of draft.
fn draft_histogram(analysis: &Analysis) -> Vec<Bin> {
    let [low, high] = WALL_DEG;
    let samples = &analysis.part.samples;
    let drafts = draft::of_facets(&analysis.part, analysis.release.formed());
    let above: Vec<Option<f64>> = samples
        .facets
        .iter()
        .map(|&facet| drafts[facet as usize])
        .map(|deg| (deg < high).then_some(deg.max(low) - low))
        .collect();
    let steps = (high - low) as usize;
    let shares = surface_statistics::histogram(&above, high - low, steps);
    let bin = |(step, &share): (usize, &f64)| {
        let from = low + step as f64;
        Bin { from, to: from + 1.0, share }
    };
    shares.iter().enumerate().map(bin).collect()
}

/// A direction without the last digits of rounding.
fn zero_tiny_parts(vector: [f64; 3]) -> [f64; 3] {
    vector.map(|part| if part.abs() < 1e-9 { 0.0 } else { part })
}

fn undercut(analysis: &Analysis) -> Undercut {
    let undercut = &analysis.release.undercut;
    let closed = analysis.part.closed;
    let causes = analysis.release.causes.iter().zip(1..);
    let cause = |rank: usize| {
        let own = causes.clone().find(|(members, _)| members.contains(&rank));
        own.map_or(0, |(_, number)| number)
    };
    let region = |rank: usize, region: &crate::part::undercut::Trapped| UndercutRegion {
        area_mm2: region.region.area,
        depth_mm: region.depth,
        volume_mm3: closed.then_some(region.volume),
        at_mm: region.at.into(),
        release_direction: region.way.map(|way| zero_tiny_parts(way.vector().into())),
        ways_out: release_remedies::remedies(analysis, rank),
        cause: cause(rank),
    };
    Undercut {
        area_mm2: undercut.area,
        volume_mm3: closed.then_some(undercut.volume),
        depth_mm: undercut.deepest(),
        regions: undercut
            .regions
            .iter()
            .enumerate()
            // What the facets may be off is noise, not a place to do something about.
            .filter(|(_, trapped)| release_remedies::is_real(analysis, trapped))
            .map(|(rank, trapped)| region(rank, trapped))
            .collect(),
    }
}

fn parting(analysis: &Analysis) -> Parting {
    let parting = &analysis.release.parting;
    let known = !parting.loops.is_empty();
    let shut_off = |it: &crate::part::parting::ShutOff| ShutOff {
        at_mm: it.at.into(),
        area_mm2: it.area,
        angle_deg: it.angle_deg,
        wall_deg: it.wall_deg,
        rise_mm: it.rise,
        height_mm: it.height,
    };
    let line = |line: &crate::part::parting::Loop| {
        line.closed().into_iter().map(Into::into).collect()
    };
    Parting {
        loops: known.then_some(parting.loops.len()),
        length_mm: known.then_some(parting.length),
        flat: known.then_some(parting.flat),
        rise_mm: parting.rise,
        height_mm: parting.height,
        shut_offs: known.then_some(parting.shut_offs.len()),
        lines: parting.loops.iter().map(line).collect(),
        shut_off_list: parting.shut_offs.iter().map(shut_off).collect(),
    }
}

fn region(extreme: &Extreme) -> Region {
    Region {
        area_mm2: extreme.region.area,
        value_mm: extreme.value,
        at_mm: extreme.at.into(),
        box_mm: bounding_box(&extreme.region.bounds),
    }
}

fn bounding_box(bounds: &Aabb) -> BoundingBox {
    let corner = |point: Point| point.into();
    BoundingBox { min: corner(bounds.min), max: corner(bounds.max) }
}

#[cfg(test)]
mod tests {
    use super::report;
    use crate::findings::fixtures::{analysis, open};
    use crate::mesh::shapes;

    fn near(seen: f64, known: f64) {
        assert!((seen - known).abs() <= 1e-6 * known.abs(), "{seen} is not {known}");
    }

    /// A box of 20 × 30 × 10 mm along z, by hand.
    #[test]
    fn every_number_stands_under_its_key() {
        let report = report(&analysis(&shapes::cuboid(20.0, 30.0, 10.0)), "box.stl");
        assert_eq!((report.part.file.as_str(), report.part.facets), ("box.stl", 12));
        near(report.part.volume_mm3.unwrap(), 6000.0);
        near(report.part.area_mm2, 2200.0);
        near(report.pull.projected_area_mm2, 600.0);
        near(report.pull.height_mm, 10.0);
        near(report.part.bounding_box_mm.max[1], 30.0);
        // Moment about z of a box of mass 1 g/mm³: m (a² + b²) / 12.
        near(report.part.inertia_mm5.unwrap()[2][2], 6000.0 * 1300.0 / 12.0);
        let draft = &report.draft;
        near(
            draft.cavity_area_mm2 + draft.core_area_mm2 + draft.upright_area_mm2,
            2200.0,
        );
        assert!((draft.upright_area_mm2 - 1000.0).abs() < 20.0);
        let bars: f64 = report.thickness.ray_histogram.iter().map(|bin| bin.share).sum();
        near(bars, 1.0);
        near(report.undercut.depth_mm.unwrap() + 1.0, 1.0);
        let shot = &report.shot;
        near(shot.part_g.unwrap() + shot.feed_g.unwrap(), shot.total_g.unwrap());
        let clamp = &report.clamp;
        near(
            clamp.pressure_mpa.unwrap() * clamp.area_mm2.unwrap(),
            clamp.opening_force_n.unwrap(),
        );
        near(
            report.shrinkage.scale.unwrap(),
            1.0 / (1.0 - report.shrinkage.nominal.unwrap()),
        );
    }

    #[test]
    fn an_open_surface_has_no_volume_and_nothing_that_needs_one() {
        let report =
            report(&analysis(&open(&shapes::cuboid(20.0, 30.0, 10.0))), "box.stl");
        assert!(!report.part.closed);
        assert_eq!(report.part.volume_mm3, None);
        assert_eq!(report.part.inertia_mm5, None);
        assert_eq!(report.undercut.volume_mm3, None);
        assert_eq!((report.shot.part_g, report.shot.fraction), (None, None));
        assert_eq!(report.part.defects[0].kind, "hole");
    }
}
