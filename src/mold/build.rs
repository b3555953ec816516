//! From part and wishes to two halves: the axes, the lines, the feed's way, the block, the
//! parting surface, the blanks, and what is cut out of them.

use super::axes::{Axes, keeps_along};
use super::core_pins::{self, CorePin};
use super::feed::{self, OVER_ROUNDED_MM, Way};
use super::layout::{self, ChosenPlates, Layout, Without};
pub use super::no_mold::NoMold;
use super::rings::{self, Ring};
use super::vents::{self, Stepped};
use crate::geom::{Direction, Point};
use crate::mesh::solid::{NotCut, Solid};
use crate::mold::cavities::{Star, Turn};
use crate::mold::cutting::{self, Cuts, Failed};
use crate::mold::inserts::{self, Insert};
use crate::mold::parting_surface::{self, Surface};
use crate::mold::point_in_plastic::Inside;
use crate::mold::snapping::{self, Snapped};
use crate::mold::{blanks, dowels, pin_holes, screws};
use crate::part::halves::Half;
use crate::part::parting::Skins;
use crate::process::clamping::bolts::Bolts;
use crate::process::clamping::mold_plates::Mold as Given;
use crate::process::feed::Feed;
use crate::process::feed::layout::FeedLayout;
use crate::process::feed::vents::Vent;

/// What a mold is made from; places and lengths in those of the part.
pub struct MoldInput<'a> {
    /// The surface of the part, cut where the halves meet.
    pub skins: &'a Skins,
    /// Along which the + half leaves.
    pub pull: Direction,
    /// The half with the core.
    pub core: Half,
    /// How many equal cavities, around the sprue of the feed.
    pub cavities: u32,
    /// Where the halves meet along the pull, mm.
    pub height: f64,
    /// Cavity length over part length, along x, y and z of the part.
    pub scales: [f64; 3],
    /// What the press file says of the plates.
    pub plates: &'a Given,
    /// The plates that were chosen for the part; the usual rule when not known.
    pub chosen: Option<ChosenPlates<'a>>,
    /// The bolts, when bolts hold the mold.
    pub bolts: Option<&'a Bolts>,
    /// The feed, and where the gate may stand, best first.
    pub feed: Option<(&'a Feed, Vec<Point>)>,
    /// Pins: diameter, place, thickness of the part behind each, mm.
    pub pins: Option<(f64, Vec<(Point, f64)>)>,
    /// Bought pins in place of cores.
    pub core_pins: Vec<CorePin>,
    /// Diameter of the dowels, mm; follows the plates when not given.
    pub dowel: Option<f64>,
    /// Vents: shape, number for each cavity, and where, best first.
    pub vents: Option<(&'a Vent, u32, Vec<Point>)>,
    /// What is not wanted.
    pub without: Without,
}

/// A mold; solids in its axes.
#[derive(Clone, Debug)]
pub struct Mold {
    /// From the part to it and back.
    pub axes: Axes,
    /// The half with the core.
    pub core: Half,
    /// The + half and the − half, their inserts in place.
    pub halves: [Solid; 2],
    /// The same without their inserts, where there are any.
    pub plates: Option<[Solid; 2]>,
    /// The tall cores that are set into their plate.
    pub inserts: Vec<Insert>,
    /// The same before anything but the part was cut.
    pub blanks: [Solid; 2],
    /// The part as it fills them.
    pub part: Solid,
    /// The feed as it fills them.
    pub feed: Solid,
    /// Volume of the feed's cuts inside the part, mm³: nothing where no gate opens.
    pub opens_mm3: f64,
    /// Volume of all holes that melt does not fill, mm³.
    pub holes_mm3: f64,
    /// The block, its plates, and everything cut besides the part.
    pub layout: Layout,
    /// Where the feed lies; its gate is that of the first cavity.
    pub way: Option<Way>,
    /// The cavities, of which `part` has one body each.
    pub star: Star,
    /// The lines around the part.
    pub outer: Vec<Vec<Point>>,
    /// The lines around its holes.
    pub inner: Vec<Vec<Point>>,
    /// The parting surface.
    pub surface: Sheeted,
    /// How far corners of the part were moved, so that walls and lines can be milled.
    pub snapped: Snapped,
}

/// The parting surface on its own.
#[derive(Clone, Debug)]
pub struct Sheeted {
    /// Whether all of it lies at one height.
    pub is_flat: bool,
    /// How far it rises, mm.
    pub rise: f64,
}

/// Builds the mold.
///
/// # Errors
/// When there is none, with the reason.
pub fn build(input: &MoldInput<'_>) -> Result<Mold, NoMold> {
    let skins = input.skins;
    if !keeps_along(input.pull, input.scales) {
        return Err(NoMold::Askew);
    }
    let axes = Axes::new(&skins.mesh, input.pull, input.height, input.scales);
    let mut points: Vec<Point> =
        skins.mesh.points().iter().map(|point| axes.in_mold(point)).collect();
    let lines = rings::trace(skins)
        .map_err(|corner| NoMold::Open(skins.mesh.points()[corner as usize]))?;
    let snapped = snapping::snap(&mut points, skins.mesh.facets(), &lines);
    let (outer, _) = rings::sorted(&lines, &points);
    if outer.is_empty() {
        return Err(NoMold::NoLine);
    }
    let way =
        feed_way(input, &axes, &outer, &points)?.map(|way| reaching_over(way, &snapped));
    let star = star(input, way.as_ref())?;
    let skins = &star.skins(skins);
    let lines = star.rings(&lines, points.len());
    let points = star.points(&points);
    let part = Solid { points: points.clone(), facets: skins.mesh.facets().to_vec() };
    let (outer, inner) = rings::sorted(&lines, &points);
    let mesh = part.mesh();
    let part_span = [mesh.bounds().min.z, mesh.bounds().max.z];
    let mut layout = arranged(input, &outer, part_span, way.as_ref())?;
    add_pins(input, &mut layout, &axes, star);
    add_core_pins(input, &mut layout, &axes, star)?;
    dowels::add(&mut layout, input.core, part_span, input.dowel, input.without);
    let surface = parting_surface(input, &lines, &points, &layout, way.as_ref(), &axes)?;
    let blanks = blanks::build(skins, &points, &surface, layout.block[2]);
    let rise = heights(&surface, &points);
    let stepped = (!surface.is_flat).then(|| Stepped::between(&blanks, rise));
    let height = |at| stepped.as_ref().and_then(|it| it.at(at)).unwrap_or(0.0);
    screws::settle(&mut layout, input.core, &height);
    let inside = &Inside::new(&mesh);
    let site = VentSite { outer: &outer, inside, stepped: stepped.as_ref() };
    add_vents(input, &mut layout, &site, &axes, star);
    let mut inserts = set_in(input, &surface, &mut layout, &blanks)?;
    let Cuts { halves, feed, opens_mm3, holes_mm3 } =
        cut_out(&mut layout, &blanks, &part)?;
    let plates = inserts::part_off(&halves, &mut inserts).map_err(no_insert)?;
    Ok(Mold {
        axes,
        core: input.core,
        halves,
        plates,
        inserts,
        blanks,
        part,
        feed,
        opens_mm3,
        holes_mm3,
        layout,
        way,
        star,
        outer,
        inner,
        surface: Sheeted { is_flat: surface.is_flat, rise: (rise[1] - rise[0]).max(0.0) },
        snapped,
    })
}

/// The inserts of a flat mold, with their cuts in `layout`.
fn set_in(
    input: &MoldInput<'_>,
    surface: &Surface,
    layout: &mut Layout,
    blanks: &[Solid; 2],
) -> Result<Vec<Insert>, NoMold> {
    if !surface.is_flat || input.without.inserts {
        return Ok(Vec::new());
    }
    inserts::add(layout, blanks).map_err(no_insert)
}

/// What the cuts of `layout` leave; those that could not be made are taken out of it.
fn cut_out(
    layout: &mut Layout,
    blanks: &[Solid; 2],
    part: &Solid,
) -> Result<Cuts, NoMold> {
    let (cuts, left_out) = cutting::cut(blanks, part, &layout.cuts, layout.block)
        .map_err(|Failed(what, why)| NoMold::Cut(what, why))?;
    layout.leave_out(&left_out);
    Ok(cuts)
}

fn no_insert(why: NotCut) -> NoMold {
    NoMold::Cut("inserts (--no-inserts leaves them out)", why)
}

/// The block with feed and bolts around a part whose heights span `part_span`.
fn arranged(
    input: &MoldInput<'_>,
    outer: &[Vec<Point>],
    part_span: [f64; 2],
    way: Option<&Way>,
) -> Result<Layout, NoMold> {
    let feed = input.feed.as_ref().filter(|_| !input.without.feed);
    Ok(layout::arrange(&layout::LayoutInput {
        outer,
        part: part_span,
        core: input.core,
        given: input.plates,
        chosen: input.chosen,
        bolts: input.bolts,
        feed: feed.zip(way).map(|((feed, _), way)| (*feed, way)),
        without: input.without,
    })?)
}

/// Where the feed lies, when one is wanted.
fn feed_way(
    input: &MoldInput<'_>,
    axes: &Axes,
    outer: &[Vec<Point>],
    points: &[Point],
) -> Result<Option<Way>, NoMold> {
    let Some((feed, gates)) = input.feed.as_ref().filter(|_| !input.without.feed) else {
        return Ok(None);
    };
    let wanted: Vec<Point> = gates.iter().map(|at| axes.in_mold(at)).collect();
    let at = gates.first().copied().unwrap_or_default();
    let facets = input.skins.mesh.facets().to_vec();
    let inside = Inside::new(&Solid { points: points.to_vec(), facets }.mesh());
    feed::way(feed, outer, &wanted, &inside, input.core)
        .map(Some)
        .map_err(|why| NoMold::Feed { at, why })
}

/// A gate whose line was set level: faces of the part beside it may lie just as high, so it
/// reaches a little beyond them.
fn reaching_over(way: Way, snapped: &Snapped) -> Way {
    let least = if snapped.along > 0.0 { OVER_ROUNDED_MM } else { 0.0 };
    Way { over: way.over.max(least), ..way }
}

/// The cavities around the sprue.
fn star(input: &MoldInput<'_>, way: Option<&Way>) -> Result<Star, NoMold> {
    let feed = input.feed.as_ref().map(|(feed, _)| *feed);
    match way.zip(feed) {
        Some((way, feed)) => Ok(way.star(feed)),
        None if input.cavities > 1 => Err(NoMold::NoSprue),
        None => Ok(Star::ONE),
    }
}

fn add_pins(input: &MoldInput<'_>, layout: &mut Layout, axes: &Axes, star: Star) {
    if let Some((diameter, places)) = pins(input, axes) {
        let places: Vec<(Point, f64)> = star
            .turns()
            .flat_map(|turn| places.iter().map(move |(at, wall)| (turn.point(at), *wall)))
            .collect();
        pin_holes::add(layout, input.core, diameter, &places);
    }
}

/// The pins in the axes of the mold.
fn pins(input: &MoldInput<'_>, axes: &Axes) -> Option<(f64, Vec<(Point, f64)>)> {
    let (diameter, places) = input.pins.as_ref().filter(|_| !input.without.pins)?;
    let place = |(at, wall): &(Point, f64)| (axes.in_mold(at), wall * axes.scale_along());
    Some((*diameter, places.iter().map(place).collect()))
}

/// Cavity length over part length across the pull, on the mean.
fn across(axes: &Axes) -> f64 {
    axes.area_scale_across().sqrt()
}

/// Adds the core pins in the axes and lengths of the mold.
fn add_core_pins(
    input: &MoldInput<'_>,
    layout: &mut Layout,
    axes: &Axes,
    star: Star,
) -> Result<(), NoMold> {
    if input.without.pins {
        return Ok(());
    }
    let grown = |(turn, pin): (Turn, &CorePin)| CorePin {
        foot: turn.point(&axes.in_mold(&pin.foot)),
        height: pin.height * axes.scale_along(),
        widest: pin.widest * across(axes),
        ..*pin
    };
    let all =
        star.turns().flat_map(|turn| input.core_pins.iter().map(move |pin| (turn, pin)));
    let pins: Vec<CorePin> = all.map(grown).collect();
    core_pins::add(layout, &pins, 1.0 / across(axes))
        .map_err(|error| NoMold::Cut("core pins", error))
}

/// The surface where the halves meet, level under the runner.
fn parting_surface(
    input: &MoldInput<'_>,
    lines: &[Ring],
    points: &[Point],
    layout: &Layout,
    way: Option<&Way>,
    axes: &Axes,
) -> Result<Surface, NoMold> {
    let mut level = layout.flat_land();
    let feed = input.feed.as_ref();
    // A sprue that stands on the part leaves the parting surface as it is.
    let feed = feed.filter(|(feed, _)| feed.layout != FeedLayout::Direct);
    if let (Some(way), Some((feed, _))) = (way, feed) {
        let (sprue, gate, _) = way.taken(feed);
        for (step, turn) in (0..=16_u8)
            .flat_map(|step| way.star(feed).turns().map(move |turn| (step, turn)))
        {
            let share = f64::from(step) / 16.0;
            let at = [0, 1].map(|axis| gate[axis] + (sprue[axis] - gate[axis]) * share);
            let [x, y] = turn.place(at);
            level.push(Point::new(x, y, way.gate.z));
        }
    }
    let surface = parting_surface::build(&parting_surface::SurfaceInput {
        rings: lines,
        points,
        outline: [layout.block[0], layout.block[1]],
        level: &level,
        height: 0.0,
    });
    surface.map_err(|at| NoMold::Crossed(axes.in_part(&at)))
}

/// Where vents may lie.
struct VentSite<'a> {
    outer: &'a [Vec<Point>],
    inside: &'a Inside,
    stepped: Option<&'a Stepped<'a>>,
}

/// Adds the vents; where they cannot be drawn, that is noted, and the mold is made without.
fn add_vents(
    input: &MoldInput<'_>,
    layout: &mut Layout,
    site: &VentSite<'_>,
    axes: &Axes,
    star: Star,
) {
    let Some((vent, count, wanted)) =
        input.vents.as_ref().filter(|_| !input.without.vents)
    else {
        return;
    };
    let wanted: Vec<Point> = wanted
        .iter()
        .map(|at| axes.in_mold(at))
        .flat_map(|at| star.turns().map(move |turn| turn.point(&at)))
        .collect();
    let VentSite { outer, inside, stepped } = *site;
    let input = vents::VentInput {
        vent,
        count: *count * star.count,
        wanted: &wanted,
        outer,
        inside,
        core: input.core,
        stepped,
    };
    if let Err(why) = vents::add(layout, &input) {
        layout.notes.push(format!(
            "no vents are drawn ({why}): scratch them while testing, at the end of the flow path"
        ));
    }
}

/// Least and greatest height of the surface.
fn heights(surface: &Surface, points: &[Point]) -> [f64; 2] {
    let all = |corner: &u32| {
        let index = *corner as usize;
        points.get(index).or_else(|| surface.points.get(index - points.len()))
    };
    let heights = surface.facets.iter().flatten().filter_map(all).map(|point| point.z);
    heights.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], z| {
        [low.min(z), high.max(z)]
    })
}
