//! Plastic, press, feed, shot, clamp, cycle, shrinkage, ejection and vents under their keys.

use crate::analysis::filling::FillingStudy;
use crate::analysis::{Analysis, Pinned};
use crate::findings::clamping;
use crate::process::ejection::pins::{self, Pins, Rule};
use crate::process::evaluation::ejection::EjectionForces;
use crate::process::evaluation::feed::{FeedAlternative, FeedDesign};
use crate::process::feed::sizing::LOSS_GOAL;
use crate::process::plastic::Unknown;
use crate::process::plastic::cavity_sizes::Kind;
use crate::process::sourced::Range;
use crate::process::thermal::heat_up;
use crate::schema::{
    Clamp, Cooling, Ejection, Feed, FeedOption, Link, Plastic, Press, Shot, ShrinkAxis,
    Shrinkage, Size, Step, Vents,
};
use crate::units::{self, Pressure, Quantity, Temperature, in_mm};

pub(crate) fn plastic(analysis: &Analysis) -> Plastic {
    let plastic = &analysis.setup.plastic;
    let density =
        |value: Option<units::MassDensity>| value.map(|density| density.si() / 1000.0);
    let typical = |range: Range<Temperature>| units::in_celsius(range.typical());
    let ends = |range: Range<Temperature>| [range.low, range.high].map(units::in_celsius);
    let cautions = [&plastic.fume, &plastic.residence];
    let never = plastic.never_with.value.as_ref();
    let never = never.map(|text| format!("never in one barrel with {text}"));
    let cautions = cautions.iter().filter_map(|caution| caution.value.clone());
    Plastic {
        name: plastic.name.clone(),
        given: analysis.setup.plastic_given,
        description: plastic.description.clone(),
        solid_density_g_cm3: density(plastic.solid_density.value),
        melt_density_g_cm3: density(plastic.melt_density.value),
        melt_c: plastic.melt_temperature.value.map(typical),
        mold_c: plastic.mold_temperature.value.map(typical),
        melt_range_c: plastic.melt_temperature.value.map(ends),
        mold_range_c: plastic.mold_temperature.value.map(ends),
        drying: plastic.drying.value.clone(),
        never_with: plastic.never_with.value.clone(),
        cautions: cautions.chain(never).collect(),
    }
}

pub(crate) fn press(analysis: &Analysis) -> Press {
    let press = &analysis.setup.press;
    Press {
        name: press.name.clone(),
        given: analysis.setup.press_given,
        class: press.class().name().to_owned(),
        melt_pressure_mpa: Some(units::in_mpa(press.melt_pressure())),
        ram_force_n: Some(press.ram_force().si()),
        shot_capacity_cm3: Some(units::in_cm3(press.shot_volume())),
        ram_diameter_mm: Some(in_mm(press.ram.diameter)),
        stroke_mm: Some(in_mm(press.ram.stroke)),
        clamp: press.clamp.as_ref().map(crate::process::press::Clamp::in_words),
        nozzle_lift_n: press.nozzle_lift().map(Quantity::si),
        nozzle_contact_n: press.contact_force().map(Quantity::si),
        stored_air_j: press.stored_air_energy().map(Quantity::si),
        stored_spring_j: press.stored_spring_energy().map(Quantity::si),
        cautions: press.cautions(),
    }
}

pub(crate) fn feed(analysis: &Analysis) -> Feed {
    let Ok(feed_design) = &analysis.evaluation.feed_design else {
        return Feed::default();
    };
    let feed = &feed_design.feed;
    let filling = feed_design.filling.as_ref().ok();
    let goal = analysis.setup.press.melt_pressure() * LOSS_GOAL;
    let not_offered = feed_design.not_offered.iter();
    let gate = Some(feed.gate).filter(|gate| !gate.is_round);
    Feed {
        layout: Some(feed.layout.name().to_owned()),
        cavities: Some(feed.cavities),
        runner_section: feed.runner.map(|runner| runner.section.name().to_owned()),
        counterbore_mm: Some(in_mm(feed.counterbore)),
        lost_in_nozzle_mpa: feed_design.cost.lost_in_nozzle.and_then(finite),
        goal_mpa: finite(goal),
        bound: feed_design.bound.map(|bound| bound.text()),
        layouts: layouts(analysis, feed_design),
        not_offered: not_offered
            .map(|(layout, why)| format!("{}: {why}", layout.name()))
            .collect(),
        sprue_inlet_mm: Some(in_mm(feed.sprue.inlet)),
        sprue_foot_mm: Some(in_mm(feed.sprue.foot)),
        sprue_length_mm: Some(in_mm(feed.sprue.length)),
        runner_diameter_mm: feed.runner.map(|runner| in_mm(runner.diameter)),
        runner_length_mm: Some(feed.runner.map_or(0.0, |runner| in_mm(runner.length))),
        gate_depth_mm: gate.map(|gate| in_mm(gate.depth)),
        gate_width_mm: gate.map(|gate| in_mm(gate.width)),
        gate_land_mm: gate.map(|gate| in_mm(gate.land)),
        well_diameter_mm: Some(in_mm(feed.well.diameter)),
        well_length_mm: Some(in_mm(feed.well.length)),
        volume_mm3: Some(1000.0 * units::in_cm3(feed.volume())),
        projected_area_mm2: Some(units::in_mm2(feed.projected_area())),
        fill_time_s: filling.map(|filling| filling.time.si()),
        flow_cm3_s: filling.map(|filling| units::in_cm3_s(filling.flow)),
        lost_mpa: feed_design.lost().map(units::in_mpa),
        links: links(feed_design),
    }
}

fn finite(pressure: Pressure) -> Option<f64> {
    pressure.si().is_finite().then(|| units::in_mpa(pressure))
}

fn links(feed_design: &FeedDesign) -> Option<Vec<Link>> {
    let losses = feed_design.losses.as_ref().ok()?;
    let link = |loss: &crate::process::feed::Loss| Link {
        name: loss.name.to_owned(),
        size: loss.size.clone(),
        lost_mpa: finite(loss.loss),
        shear_rate_1_s: loss.apparent_rate.is_finite().then_some(loss.apparent_rate),
    };
    Some(losses.iter().map(link).collect())
}

/// The layout as chosen, then the others.
fn layouts(analysis: &Analysis, feed_design: &FeedDesign) -> Vec<FeedOption> {
    let known = analysis.filling.as_ref().ok().and_then(FillingStudy::known);
    let option = |it: &FeedAlternative, chosen: bool| FeedOption {
        layout: it.feed.layout.name().to_owned(),
        chosen,
        sizes: it.feed.sizes_in_words(),
        mass_g: units::in_grams(it.cost.mass),
        extra_cooling_s: it.cost.extra_cooling.map(Quantity::si),
        trimming: it.cost.trimming.clone(),
        lost_mpa: it.cost.lost.and_then(finite),
        needed_mpa: it.needed.and_then(finite),
        bound: it.bound.map(|bound| bound.text()),
    };
    let own = FeedAlternative {
        feed: feed_design.feed.clone(),
        cost: feed_design.cost.clone(),
        bound: feed_design.bound,
        needed: known.map(|known| known.required.expected),
    };
    let others = feed_design.alternatives.iter().map(|it| option(it, false));
    std::iter::once(option(&own, true)).chain(others).collect()
}

pub(crate) fn shot(analysis: &Analysis) -> Shot {
    let Some(Ok(shot)) = &analysis.evaluation.shot else { return Shot::default() };
    Shot {
        cavities: Some(analysis.choices.count()),
        part_g: Some(units::in_grams(shot.part)),
        feed_g: Some(units::in_grams(shot.feed)),
        total_g: Some(units::in_grams(shot.total)),
        melt_cm3: Some(units::in_cm3(shot.melt_volume)),
        capacity_g: Some(units::in_grams(shot.capacity)),
        fraction: Some(shot.fraction.si()),
        charges: Some(shot.charges),
    }
}

pub(crate) fn clamp(analysis: &Analysis) -> Clamp {
    let clamping = &analysis.evaluation.clamping;
    let force = &clamping.force;
    let bolted = clamping.bolted();
    let bows = clamping.bows();
    let bolts = analysis.setup.press.bolts();
    Clamp {
        pressure_mpa: Some(units::in_mpa(force.pressure)),
        area_mm2: Some(units::in_mm2(force.area)),
        opening_force_n: Some(force.opening.si()),
        holding_force_n: force.holding.map(Quantity::si),
        margin: force.margin,
        yaw_mm: force.yaw.map(in_mm),
        squeeze_margin: clamping.squeezed,
        land_mpa: clamping.land.map(|land| units::in_mpa(land.stress)),
        land_limit_mpa: clamping.land.map(|land| units::in_mpa(land.allowed)),
        feed_area_mm2: Some(units::in_mm2(clamping.feed_area)),
        nozzle_push_n: clamping.nozzle.map(Quantity::si),
        worst_bolt_n: bolted.map(|bolted| bolted.shut.loads.worst.si()),
        worst_bolt_margin: bolted.and_then(|bolted| bolted.shut.margin),
        bolt_torque_nm: bolts.and_then(|bolts| bolts.torque).map(Quantity::si),
        plate_mm: bows.map(|_| in_mm(clamping.plates.thickness)),
        behind_mm: bows.map(|bows| in_mm(bows.behind)),
        bow_mm: bows.and_then(|bows| bows.bow).map(in_mm),
        gap_mm: bows.and_then(|bows| bows.gap).map(in_mm),
        flash_limit_mm: bows.and_then(|it| it.stays_in).map(|range| in_mm(range.low)),
        cures: bolted.map(|bolted| bolted.cures.iter().map(clamping::cure).collect()),
    }
}

pub(crate) fn cooling(analysis: &Analysis) -> Cooling {
    let timing = &analysis.evaluation.timing;
    let minutes = |time: units::Time| time.si() / 60.0;
    let step = |step: &crate::process::thermal::cycle::Step| Step {
        what: step.what.to_owned(),
        time_s: step.time.si(),
        mold: step.mold,
        barrel: step.barrel,
    };
    let cycle = timing.cycle.as_ref();
    Cooling {
        hold_s: timing.hold.as_ref().map(|hold| hold.time.si()),
        cool_s: timing.cool.as_ref().map(|cool| cool.time.si()),
        cycle_s: cycle.map(|cycle| cycle.total.si()),
        parts_per_hour: cycle.map(|cycle| cycle.parts_per_hour(1)),
        hold_by: timing.hold.as_ref().map(|hold| hold.by.clone()),
        cool_by: timing.cool.as_ref().map(|cool| cool.by.clone()),
        ruled_by: cycle.map(|cycle| cycle.rules.to_owned()),
        steps: cycle.map(|cycle| cycle.steps.iter().map(step).collect()),
        warming: timing.shift.as_ref().map(heat_up::in_words),
        mold_end_c: timing.shift.as_ref().map(|shift| units::in_celsius(shift.end)),
        in_heat_min: timing.in_heat.map(minutes),
        heat_limit_min: timing.heat_limit.map(minutes),
    }
}

pub(crate) fn shrinkage(analysis: &Analysis) -> Shrinkage {
    let named = ["x", "y", "z"].into_iter().chain(std::iter::repeat("given"));
    let sizes = || {
        let size = |(of, (wanted, cut)): (&str, &(_, _))| {
            let wanted: &crate::process::evaluation::Dimension = wanted;
            let cut: &crate::process::plastic::cavity_sizes::CutSize = cut;
            Size {
                of: of.to_owned(),
                kind: kind(wanted.kind).to_owned(),
                part_mm: in_mm(cut.part),
                cavity_mm: in_mm(cut.nominal),
                first_cut_mm: in_mm(cut.first_cut),
                part_if_low_mm: in_mm(cut.part_if_low),
                part_if_high_mm: in_mm(cut.part_if_high),
            }
        };
        named.zip(&analysis.evaluation.sizes).map(size).collect()
    };
    let known = |band: &crate::process::plastic::shrinkage::Shrinkage| Shrinkage {
        low: Some(band.low.si()),
        nominal: Some(band.nominal.si()),
        high: Some(band.high.si()),
        scale: Some(band.scale),
        axes: analysis.evaluation.shrink_axes.as_ref().map(axes),
        sizes: Some(sizes()),
    };
    let evaluation = &analysis.evaluation;
    evaluation.shrinkage.as_ref().map_or_else(|_: &Unknown| Shrinkage::default(), known)
}

fn axes(bands: &[crate::process::plastic::shrinkage::Shrinkage; 3]) -> Vec<ShrinkAxis> {
    let axis = |(name, band): (&str, &crate::process::plastic::shrinkage::Shrinkage)| {
        ShrinkAxis {
            axis: name.to_owned(),
            low: band.low.si(),
            nominal: band.nominal.si(),
            high: band.high.si(),
            scale: band.scale,
        }
    };
    ["x", "y", "z"].into_iter().zip(bands).map(axis).collect()
}

fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Outside => "outside",
        Kind::Inside => "inside",
        Kind::Between => "between",
    }
}

pub(crate) fn ejection(analysis: &Analysis) -> Ejection {
    let Ok(ejection) = &analysis.evaluation.ejection else { return Ejection::default() };
    let force = ejection.force();
    let pinned = analysis.pinned.as_ref();
    let pins = pinned.and_then(|pinned| pinned.pins);
    let buckles = |pins: Pins| {
        let slim = pins.diameter / pins::THICKER;
        pins::euler(slim, ejection.push.length, pins::FIXITY).si()
    };
    let place = |pad: &crate::part::ejector_pin_sites::PinSite| pad.at.into();
    Ejection {
        force_n: Some(force.typical.si()),
        force_low_n: Some(force.low.si()),
        force_high_n: Some(force.high.si()),
        cavity_force_n: Some(ejection.cavity.typical.si()),
        vacuum_n: Some(ejection.vacuum.si()),
        keeps_to: ejection.keeping.keeper().role(),
        pins: pinned.map(|pinned| pinned.pads.list.iter().map(place).collect()),
        pin_diameter_mm: pins.map(|pins| in_mm(pins.diameter)),
        pin_count: pins.map(|pins| pins.count),
        pin_rule: pins.map(|pins| rule(pins.rule).to_owned()),
        push_through_mpa: pinned.and_then(shear(ejection)),
        push_through_limit_mpa: Some(units::in_mpa(
            ejection.push.yields * pins::SHEAR_SHARE,
        )),
        buckling_n: pins.map(buckles),
        stroke_mm: Some(in_mm(ejection.stroke)),
        off_middle_mm: pinned.and_then(|pinned| pinned.pads.off),
        pry_slot_mm: Some(pins::PRY_SLOT_MM),
    }
}

/// Shear around the pins, MPa.
fn shear(ejection: &EjectionForces) -> impl Fn(&Pinned) -> Option<f64> {
    |pinned| {
        let pins = pinned.pins?;
        Some(units::in_mpa(pins::push_through(ejection.push.force, &pins, pinned.behind)))
    }
}

fn rule(rule: Rule) -> &'static str {
    match rule {
        Rule::Fewest => "fewest",
        Rule::Shear => "shear",
        Rule::Bearing => "bearing",
        Rule::Buckling => "buckling",
    }
}

pub(crate) fn vents(analysis: &Analysis) -> Vents {
    let Ok(vent) = &analysis.evaluation.vent else { return Vents::default() };
    Vents {
        depth_mm: Some(in_mm(vent.start)),
        most_depth_mm: Some(in_mm(vent.most)),
        width_mm: Some(in_mm(vent.width)),
        land_mm: Some(in_mm(vent.land)),
        relief_mm: Some(in_mm(vent.relief)),
        count: analysis.evaluation.vent_count(),
    }
}
