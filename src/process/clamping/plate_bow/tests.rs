//! The bow against plane elements in contact, closed forms and statics.

use super::{BowedMold, LoadedArea, PlateBow, PlateHalf, Pressed};
use crate::process::clamping::alloys::Alloy;
use crate::units::{Force, Quantity, from_mm, from_mm2, from_mpa, in_mm};

/// A plate of these edges and thickness with a pocket, against one without.
struct Case {
    edges: [f64; 2],
    thickness: f64,
    cavity: [f64; 2],
    pocket: f64,
    mpa: f64,
}

impl Case {
    fn load(&self) -> LoadedArea {
        let [long, wide] = self.cavity;
        LoadedArea {
            pressure: from_mpa(self.mpa),
            area: from_mm2(long * wide),
            extents: [long, wide].map(from_mm),
        }
    }

    fn mold(&self, pressed: Pressed) -> BowedMold {
        let half = |pocket: f64| PlateHalf {
            thickness: from_mm(self.thickness),
            pocket: from_mm(pocket),
        };
        BowedMold {
            halves: [half(self.pocket), half(0.0)],
            edges: self.edges.map(from_mm),
            alloy: Alloy::Wrought6061,
            pressed,
        }
    }

    fn bow(&self, pressed: Pressed) -> PlateBow {
        self.mold(pressed).bow(&self.load()).unwrap()
    }
}

/// So many bolts M8 at either end, from the middle.
fn bolts(at: f64, each_end: u32, preload: f64) -> Pressed {
    let side = |x: f64| (0..each_end).map(move |_| [x, 0.0].map(from_mm));
    Pressed::Bolts {
        places: side(at).chain(side(-at)).collect(),
        diameter: from_mm(8.0),
        area: from_mm2(36.6),
        preload: Force::from_si(preload),
    }
}

/// Length, width and thickness of both plates, length and mean width of the cavity, depth of
/// its pocket in one plate, bolts from the middle, how many at either end, preload N, pressure
/// MPa, and the gap in the middle: all mm but these. The gap is that of plane elements with
/// contact on one side, bolts of M8 with preload and 205 kN/mm² over the plate and 16 mm, and
/// aluminum of 69 kN/mm² and 0.33; run apart in Python.
const PLANE_ELEMENTS: [[f64; 11]; 25] = [
    // box long
    [112.0, 92.0, 40.0, 60.0, 40.667, 20.0, 44.0, 2.0, 10500.0, 7.413, 0.0121],
    // box long
    [112.0, 92.0, 40.0, 60.0, 40.667, 20.0, 44.0, 2.0, 15000.0, 7.413, 0.0092],
    // box short
    [92.0, 112.0, 40.0, 40.0, 61.0, 20.0, 34.0, 2.0, 10500.0, 7.413, 0.0066],
    // box short
    [92.0, 112.0, 40.0, 40.0, 61.0, 20.0, 34.0, 2.0, 15000.0, 7.413, 0.0047],
    // comb
    [172.0, 80.0, 25.0, 120.0, 17.500, 3.0, 74.0, 2.0, 10500.0, 7.413, 0.1280],
    // comb
    [172.0, 80.0, 25.0, 120.0, 17.500, 3.0, 74.0, 2.0, 15000.0, 7.413, 0.0959],
    // enclosure
    [132.0, 102.0, 40.0, 80.0, 50.625, 20.0, 54.0, 2.0, 10500.0, 7.413, 0.0471],
    // enclosure
    [132.0, 102.0, 40.0, 80.0, 50.625, 20.0, 54.0, 2.0, 15000.0, 7.413, 0.0361],
    // thin plate
    [112.0, 92.0, 12.0, 60.0, 30.0, 3.0, 44.0, 2.0, 10500.0, 7.413, 0.1058],
    // thin plate, little preload
    [112.0, 92.0, 15.0, 60.0, 30.0, 4.0, 44.0, 2.0, 4000.0, 5.0, 0.0655],
    // high pressure
    [112.0, 92.0, 40.0, 60.0, 30.0, 10.0, 44.0, 2.0, 10500.0, 25.0, 0.0615],
    // high pressure, thick
    [112.0, 92.0, 60.0, 60.0, 40.0, 20.0, 44.0, 3.0, 15000.0, 30.0, 0.0328],
    // little preload
    [112.0, 92.0, 30.0, 60.0, 40.0, 10.0, 44.0, 2.0, 3000.0, 6.0, 0.0408],
    // short wide cavity
    [100.0, 120.0, 25.0, 20.0, 80.0, 8.0, 38.0, 2.0, 10500.0, 10.0, 0.0220],
    // short wide, deep
    [100.0, 120.0, 40.0, 20.0, 80.0, 25.0, 38.0, 2.0, 10500.0, 15.0, 0.0194],
    // deep pocket
    [112.0, 92.0, 40.0, 60.0, 40.0, 32.0, 44.0, 2.0, 10500.0, 7.413, 0.0125],
    // deep pocket thin
    [112.0, 92.0, 30.0, 60.0, 60.0, 24.0, 44.0, 2.0, 10500.0, 7.413, 0.0628],
    // small part
    [75.0, 75.0, 25.0, 25.0, 20.0, 12.0, 27.0, 2.0, 10500.0, 14.0, 0.0028],
    // small part 15
    [75.0, 75.0, 15.0, 25.0, 20.0, 6.0, 27.0, 2.0, 10500.0, 14.0, 0.0090],
    // opener
    [130.0, 80.0, 25.0, 80.0, 28.0, 2.0, 52.0, 2.0, 10500.0, 7.400, 0.0500],
    // opener thin
    [130.0, 80.0, 15.0, 80.0, 28.0, 2.0, 52.0, 2.0, 10500.0, 7.400, 0.1551],
    // long thin strip
    [200.0, 60.0, 20.0, 150.0, 10.0, 3.0, 86.0, 2.0, 10500.0, 15.0, 0.6134],
    // wide load near bolts
    [112.0, 92.0, 30.0, 80.0, 70.0, 5.0, 46.0, 2.0, 15000.0, 7.413, 0.0855],
    // low load
    [112.0, 92.0, 20.0, 40.0, 20.0, 3.0, 44.0, 2.0, 10500.0, 6.0, 0.0092],
    // lifts off
    [112.0, 92.0, 40.0, 60.0, 50.0, 10.0, 44.0, 2.0, 5000.0, 20.0, 0.2199],
];

fn of_row(row: &[f64; 11]) -> Case {
    Case {
        edges: [row[0], row[1]],
        thickness: row[2],
        cavity: [row[3], row[4]],
        pocket: row[5],
        mpa: row[9],
    }
}

/// Never below the elements by a fifth, never above them by half; what bends across as well
/// is left out on both sides.
#[test]
fn the_bow_is_that_of_plane_elements() {
    for row in PLANE_ELEMENTS {
        let case = of_row(&row);
        let mold = case.mold(bolts(row[6], row[7] as u32, row[8]));
        let seen = 1e3 * mold.one_way(0, &case.load()).unwrap().middle;
        let share = seen / row[10];
        assert!((0.8..=1.5).contains(&share), "{seen} is not {} in {row:?}", row[10]);
    }
}

/// Length, width, thickness, cavity, pocket, length of the jaws, their force N, pressure MPa,
/// gap in the middle and at the end of the cavity: as above, with a straight jaw of 50 mm of
/// iron at 110 kN/mm², on a spring of 50 kN/mm, in place of the bolts.
const BETWEEN_JAWS: [[f64; 11]; 6] = [
    // jaws as long as the plate
    [90.0, 60.0, 25.0, 60.0, 25.0, 6.0, 90.0, 20000.0, 7.4, 0.0000, 0.0000],
    // jaws shorter than the cavity
    [130.0, 80.0, 25.0, 80.0, 28.0, 2.0, 60.0, 20000.0, 7.4, 0.0000, 0.0036],
    // short jaws
    [130.0, 80.0, 20.0, 80.0, 28.0, 2.0, 40.0, 20000.0, 7.4, 0.0000, 0.0211],
    // short jaws, deep pocket
    [132.0, 102.0, 40.0, 80.0, 50.0, 20.0, 60.0, 30000.0, 7.4, 0.0000, 0.0011],
    // more than the vise holds
    [130.0, 80.0, 25.0, 80.0, 40.0, 2.0, 100.0, 20000.0, 9.0, 0.1847, 0.1811],
    // thin plates, little force
    [120.0, 70.0, 15.0, 70.0, 25.0, 3.0, 50.0, 10000.0, 6.0, 0.0137, 0.0245],
];

/// Within three micrometers, or half of more than that, never below it by a fifth.
#[test]
fn jaws_back_the_plates() {
    for row in BETWEEN_JAWS {
        let case = of_row(&row);
        let pressed =
            Pressed::Jaws { length: from_mm(row[6]), force: Force::from_si(row[7]) };
        let case = Case { mpa: row[8], ..case };
        let seen = case.mold(pressed).one_way(0, &case.load()).unwrap();
        let pairs = [[1e3 * seen.middle, row[9]], [1e3 * seen.end, row[10]]];
        for [seen, elements] in pairs {
            let range = 0.8 * elements - 3e-3..=1.5 * elements + 3e-3;
            assert!(range.contains(&seen), "{seen} is not {elements} in {row:?}");
        }
    }
}

/// Timoshenko and Woinowsky-Krieger (from memory): a square plate on four corner columns bows
/// 0.0256 q a⁴/D (ν 0.3) under a load all over; so do two ways that each carry all of it.
#[test]
fn both_ways_carry_all_as_on_corner_columns() {
    let case = Case {
        edges: [100.0; 2],
        thickness: 5.0,
        cavity: [98.0; 2],
        pocket: 0.0,
        mpa: 1.0,
    };
    let corners = [[50.0, 50.0], [-50.0, 50.0], [-50.0, -50.0], [50.0, -50.0]];
    let columns = Pressed::Bolts {
        places: corners.map(|at| at.map(from_mm)).to_vec(),
        diameter: from_mm(0.1),
        area: from_mm2(1e6),
        preload: Force::from_si(1.0),
    };
    let rigidity = 69e9 * 0.005_f64.powi(3) / (12.0 * (1.0 - 0.33 * 0.33));
    let exact = 2.0 * 0.0256 * 1e6 * 0.1_f64.powi(4) / rigidity;
    let share = case.bow(columns).middle.si() / exact;
    assert!((0.95..1.1).contains(&share), "{share}");
}

/// Hooke: far beyond their preload the bolts carry everything, and each plate lifts by that
/// over their stiffness; what lifts as a whole counts once, not once for each way.
#[test]
fn what_lifts_as_a_whole_counts_once() {
    let case = Case {
        edges: [90.0, 90.0],
        thickness: 60.0,
        cavity: [40.0, 40.0],
        pocket: 0.0,
        mpa: 100.0,
    };
    let corners = [[35.0, 35.0], [-35.0, 35.0], [-35.0, -35.0], [35.0, -35.0]];
    let weak = Pressed::Bolts {
        places: corners.map(|at| at.map(from_mm)).to_vec(),
        diameter: from_mm(8.0),
        area: from_mm2(36.6),
        preload: Force::from_si(1e3),
    };
    let seen = in_mm(case.bow(weak).gap);
    let stiffness = 36.6 * 205e3 / (60.0 + 16.0);
    let stretch = 2.0 * (160e3 - 4e3) / 4.0 / stiffness;
    assert!((1.0..1.15).contains(&(seen / stretch)), "{seen} {stretch}");
}

/// A search over pressures asks for a gap some hundred times.
#[test]
fn more_pressure_opens_more() {
    let gap = |mpa: f64| {
        let case = Case {
            edges: [130.0, 80.0],
            thickness: 25.0,
            cavity: [80.0, 28.0],
            pocket: 2.0,
            mpa,
        };
        in_mm(case.bow(bolts(52.0, 2, 10.5e3)).gap)
    };
    let gaps: Vec<f64> = (1..=400).map(|step| gap(0.1 * f64::from(step))).collect();
    assert!(gaps.is_sorted(), "{gaps:?}");
}
