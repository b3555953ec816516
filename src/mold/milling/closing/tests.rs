//! The quick closing against the plain loop, and corners whose answer is known.

use super::{Profile, closed, dilated};
use crate::mold::milling::cutter::{Cutter, Kind};
use crate::mold::milling::height_field::Field;
use crate::mold::milling::leftover::thickness;

fn cutter(kind: Kind, diameter: f64) -> Cutter {
    Cutter {
        name: String::new(),
        kind,
        diameter,
        corner: match kind {
            Kind::Flat => 0.0,
            Kind::Ball => diameter / 2.0,
            Kind::Bull | Kind::Tapered => diameter / 5.0,
        },
        taper: if kind == Kind::Tapered { 0.1 } else { 0.0 },
        flute: 10.0,
        reach: 12.0,
        shank: 2.0 * diameter,
        stickout: 40.0,
        holder: 60.0,
        feed: None,
    }
}

const KINDS: [Kind; 4] = [Kind::Flat, Kind::Ball, Kind::Bull, Kind::Tapered];

/// Bumps that look random and are the same every time.
fn rough(size: [usize; 2], seed: u64) -> Field {
    let mut state = seed;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / (1_u64 << 31) as f64
    };
    let values = (0..size[0] * size[1]).map(|_| 4.0 * next()).collect();
    Field { size, values }
}

/// Max over u of z(x+u) − t(u), one cell after the other.
fn plainly_dilated(field: &Field, cutter: &Cutter, cell: f64) -> Field {
    let reach = (cutter.widest() / cell) as i64 + 1;
    let [wide, high] = field.size.map(|edge| edge as i64);
    Field::from_fn(field.size, |x, y| {
        let mut most = f64::NEG_INFINITY;
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let (column, row) = (x as i64 + dx, y as i64 + dy);
                let r = ((dx * dx + dy * dy) as f64).sqrt() * cell;
                let inside = (0..wide).contains(&column) && (0..high).contains(&row);
                if let (true, Some(rise)) = (inside, cutter.profile(r)) {
                    most = most.max(field.at(column as usize, row as usize) - rise);
                }
            }
        }
        most
    })
}

#[test]
fn the_quick_way_is_the_plain_loop() {
    for (index, kind) in KINDS.into_iter().enumerate() {
        for (size, diameter) in
            [([37, 23], 0.9), ([70, 131], 1.7), ([5, 3], 2.0), ([1, 9], 0.3)]
        {
            let field = rough(size, 7 + index as u64);
            let cutter = cutter(kind, diameter);
            let by = Profile::rasterize(&cutter, 0.1);
            let quick = dilated(&field, &by);
            let plain = plainly_dilated(&field, &cutter, 0.1);
            let off = quick.values.iter().zip(&plain.values).map(|(a, b)| (a - b).abs());
            assert!(off.fold(0.0, f64::max) <= 1e-12, "{kind:?} {diameter}");
            let back = plainly_dilated(&plain.negated(), &cutter, 0.1).negated();
            let quick = closed(&field, &by);
            let off = quick.values.iter().zip(&back.values).map(|(a, b)| (a - b).abs());
            assert!(off.fold(0.0, f64::max) <= 1e-12, "{kind:?} {diameter}");
        }
    }
}

/// What no gouging cutter does, and what a second pass does not: closing is extensive and
/// idempotent (J. Serra, Image Analysis and Mathematical Morphology, 1982).
#[test]
fn a_closing_never_gouges_and_a_second_one_changes_nothing() {
    for kind in KINDS {
        let field = rough([40, 40], 3);
        let by = Profile::rasterize(&cutter(kind, 0.8), 0.1);
        let once = closed(&field, &by);
        assert!(once.values.iter().zip(&field.values).all(|(cut, z)| *cut >= z - 1e-12));
        let twice = closed(&once, &by);
        let off = twice.values.iter().zip(&once.values).map(|(a, b)| (a - b).abs());
        assert!(off.fold(0.0, f64::max) < 1e-12, "{kind:?}");
    }
}

/// A ball of 3 mm radius in a square groove whose sides stand at 45°: R (√2 − 1) = 1.24264 mm
/// over its bottom.
#[test]
fn a_ball_in_a_groove() {
    let cell = 0.1;
    let groove = Field::from_fn([201, 61], |x, _| (x as f64 - 100.0).abs() * cell);
    let cut = closed(&groove, &Profile::rasterize(&cutter(Kind::Ball, 6.0), cell));
    let left = cut.at(100, 30);
    assert!((left - 1.24264).abs() <= cell, "{left}");
    let fine = Field::from_fn([801, 241], |x, _| (x as f64 - 400.0).abs() * 0.025);
    let left =
        closed(&fine, &Profile::rasterize(&cutter(Kind::Ball, 6.0), 0.025)).at(400, 120);
    assert!((left - 1.24264).abs() <= 0.001, "{left}");
}

/// A corner of the plan, 5 deep, cut by R = 3: metal of R (√2 − 1) = 1.24264 mm along the
/// bisector, R² (1 − π/4) = 1.93142 mm² in plan, both within what a cell may be off.
#[test]
fn a_corner_of_the_plan() {
    for cell in [0.1, 0.05] {
        let count = (20.0 / cell) as usize;
        let edge = (5.0 / cell) as usize;
        let inside = |at: usize| (edge..count - edge).contains(&at);
        let pocket =
            Field::from_fn(
                [count; 2],
                |x, y| if inside(x) && inside(y) { -5.0 } else { 0.0 },
            );
        let by = Profile::rasterize(&cutter(Kind::Flat, 6.0).narrowed(0.5 * cell), cell);
        let cut = closed(&pocket, &by);
        let left = thickness(&pocket, &cut, cell);
        assert!((left.at(edge, edge) - 1.24264).abs() <= cell, "{}", left.at(edge, edge));
        let cells = left.values.iter().filter(|left| **left > 0.0).count();
        let area = cells as f64 * cell * cell / 4.0;
        // The rim is as long as two radii.
        assert!((area - 1.93142).abs() <= 6.0 * cell * 0.5, "{area}");
    }
}

/// A slot narrower than the cutter stays as it is, one as wide is open to it.
#[test]
fn a_slot_is_open_or_shut() {
    for (cells, open) in [(18, false), (20, true), (21, true)] {
        let slot = Field::from_fn([80, 60], |x, _| {
            if (30..30 + cells).contains(&x) { -4.0 } else { 0.0 }
        });
        let by = Profile::rasterize(&cutter(Kind::Flat, 2.0).narrowed(0.05), 0.1);
        let left = closed(&slot, &by).at(30 + cells / 2, 30) + 4.0;
        let expected = if open { 0.0 } else { 4.0 };
        assert!((left - expected).abs() < 1e-12, "{cells}: {left}");
    }
}

/// A flat cutter leaves nothing on a slope, whichever way it runs, and a hill stays as it is.
#[test]
fn a_slope_and_a_hill_are_cut_clean() {
    for [a, b] in [[0.3, 0.0], [0.2, -0.7], [2.0, 1.0]] {
        let slope = Field::from_fn([60, 60], |x, y| 0.1 * (a * x as f64 + b * y as f64));
        for kind in KINDS {
            let cut = closed(&slope, &Profile::rasterize(&cutter(kind, 1.0), 0.1));
            // At the border the cutter hangs over.
            let left = (12..48).flat_map(|y| (12..48).map(move |x| (x, y)));
            let most =
                left.map(|(x, y)| cut.at(x, y) - slope.at(x, y)).fold(0.0, f64::max);
            assert!(most < 1e-9, "{kind:?} {most}");
        }
    }
    let hill = Field::from_fn([61, 61], |x, y| {
        let [x, y] = [x as f64 - 30.0, y as f64 - 30.0];
        -0.01 * (x * x + y * y)
    });
    let cut = closed(&hill, &Profile::rasterize(&cutter(Kind::Flat, 2.0), 0.1));
    let left = thickness(&hill, &cut, 0.1);
    let middle = (15..46).flat_map(|y| (15..46).map(move |x| (x, y)));
    let most = middle.map(|(x, y)| left.at(x, y)).fold(0.0, f64::max);
    assert!(most <= 0.1, "{most}");
}

#[test]
fn threads_change_nothing() {
    let field = rough([150, 170], 11);
    let by = Profile::rasterize(&cutter(Kind::Bull, 2.0), 0.1);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| closed(&field, &by))
    };
    assert_eq!(on(1), on(3));
}
