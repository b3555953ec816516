//! A program for the mill as G-code: the words that all controllers share, of RS-274 as published
//! in T. Kramer, F. Proctor, E. Messina, *The NIST RS274NGC Interpreter, Version 3*, NISTIR 6556,
//! 2000: straight moves G0 and G1, absolute, in millimeters; no canned cycles, no arcs, no tool change.
//!
//! Lines have at most 70 characters of ASCII, which small controllers hold in their buffers.

use crate::mold::toolpaths::path::{Motion, Move};
use crate::schema::mold::{MoldProgram, drill};
use crate::units::format::four_digits;

/// A line is no longer than this.
const MOST_CHARACTERS: usize = 70;

/// Plane xy, millimeters, no compensation of radius or length; the first zero of the machine, no
/// canned cycle, absolute places, feed in mm/min.
const BEGIN: [&str; 2] = ["G17 G21 G40 G49", "G54 G80 G90 G94"];

const CAUTIONS: [&str; 5] = [
    "READ THIS PROGRAM, THEN RUN IT ABOVE THE WORK FIRST.",
    "CHECK ZERO, TOOL LENGTH, CLAMPS AND SCREWS: IT KNOWS NONE OF THEM.",
    "EYE PROTECTION ON, HANDS AWAY, STAY AT THE STOP WHILE IT RUNS.",
    "SPEEDS AND FEEDS ARE JUDGMENT. IT NEVER RAN ON A MACHINE.",
    "RULES OF THE MACHINE'S MAKER AND LOCAL CODES COME FIRST.",
];

/// The program of these moves, for the part of this name.
pub(crate) fn write(program: &MoldProgram, moves: &[Move], part: &str) -> Vec<u8> {
    let mut text = String::new();
    for line in header(program, part) {
        comment(&mut text, &line);
    }
    for line in BEGIN {
        text += &format!("{line}\n");
    }
    text += &format!("M3 S{:.0}\n", program.spindle_rpm);
    let safe = word('Z', program.rapid_height_mm);
    text += &format!("G0 {safe}\n");
    let mut last = Words { z: safe, ..Words::default() };
    for each in moves {
        last.add(&mut text, each);
    }
    text += "M5\nM30\n";
    text.into_bytes()
}

/// Whether a file of this name is a program that some mold has: `core_2_drill_2.8.nc`.
pub(crate) fn is_program(name: &str) -> bool {
    let Some(stem) = name.strip_suffix(".nc") else { return false };
    let parts: Vec<&str> = stem.split('_').collect();
    let is_number = |text: &str| {
        !text.is_empty() && text.chars().all(|it| it.is_ascii_digit() || it == '.')
    };
    match parts[..] {
        ["cavity" | "core", number, "spot"] => is_number(number),
        ["cavity" | "core", number, "drill" | "ream" | "ball" | "flat", size] => {
            is_number(number) && is_number(size)
        }
        _ => false,
    }
}

fn header(program: &MoldProgram, part: &str) -> Vec<String> {
    let up = program.up;
    let mut lines = vec![
        format!("{} HALF, {up} FACE UP", program.half),
        format!("PART: {part}"),
        format!("STEPS {} OF ITS SHEET", list(&program.steps)),
    ];
    if !program.rows.is_empty() {
        lines.push(format!("ROWS {} OF THE DRILL TABLE", list(&program.rows)));
    }
    lines.extend(program.left_out.iter().map(|why| format!("LEFT OUT: {why}")));
    lines.push(format!("TOOL: {}", program.tool));
    lines.push(format!(
        "STICK-OUT AT LEAST {} MM, SO THAT THE CHUCK STAYS ABOVE",
        four_digits(program.stick_out_mm.ceil())
    ));
    lines.push(format!("ZERO: {}", program.zero));
    lines.push(format!(
        "RAPID MOVES AT Z {:.3} AND ABOVE, AND INSIDE ITS OWN HOLES",
        program.rapid_height_mm
    ));
    lines.push(format!("LOWEST Z {:.3}", program.lowest_mm));
    if program.below_half_mm > 0.0 {
        lines.push(format!(
            "GOES {:.2} MM BELOW THE HALF: PUT A PLATE THERE THAT MAY BE CUT",
            program.below_half_mm
        ));
    }
    lines.extend(program.notes.iter().cloned());
    lines.extend(CAUTIONS.map(str::to_owned));
    lines
}

fn list(numbers: &[usize]) -> String {
    drill::numbers(numbers)
}

/// A line of words in parentheses, as long as it needs to be in several; what could end it early or
/// is no ASCII goes.
fn comment(text: &mut String, line: &str) {
    let plain: String = line
        .to_uppercase()
        .chars()
        .map(|it| match it {
            '–' | '−' => '-',
            '°' => ' ',
            '(' | ')' | ';' | '%' | '!' | '~' | '?' => ' ',
            it if it.is_ascii_graphic() || it == ' ' => it,
            _ => '_',
        })
        .collect();
    for piece in textwrap::wrap(&plain, MOST_CHARACTERS - 2) {
        *text += &format!("({})\n", piece.trim());
    }
}

/// The words that the controller has heard last.
#[derive(Default)]
struct Words {
    x: String,
    y: String,
    z: String,
    feed: String,
}

impl Words {
    /// One line: only what changes.
    fn add(&mut self, text: &mut String, each: &Move) {
        let [x, y, z] = each.to;
        let mut words = Vec::new();
        let places =
            [(&mut self.x, 'X', x), (&mut self.y, 'Y', y), (&mut self.z, 'Z', z)];
        for (last, letter, value) in places {
            let fresh = word(letter, value);
            if *last != fresh {
                words.push(fresh.clone());
                *last = fresh;
            }
        }
        if words.is_empty() {
            return;
        }
        let way = match each.motion {
            Motion::Rapid => "G0",
            Motion::Feed(feed) => {
                let fresh = format!("F{feed:.0}");
                if self.feed != fresh {
                    words.push(fresh.clone());
                    self.feed = fresh;
                }
                "G1"
            }
        };
        *text += &format!("{way} {}\n", words.join(" "));
    }
}

/// A letter and a length of three decimals, never minus zero.
fn word(letter: char, value: f64) -> String {
    let rounded = (1000.0 * value).round() / 1000.0 + 0.0;
    format!("{letter}{rounded:.3}")
}

#[cfg(test)]
mod tests {
    use super::{comment, is_program, word};

    #[test]
    fn only_names_of_programs_are_taken_for_programs() {
        for name in ["core_2_drill_2.8.nc", "cavity_1_spot.nc", "core_11_flat_6.nc"] {
            assert!(is_program(name), "{name}");
        }
        for name in ["core_rough.nc", "core_2_drill_2.8.txt", "core_a_spot.nc", "x.nc"] {
            assert!(!is_program(name), "{name}");
        }
    }

    /// A parenthesis inside would end the comment, and what follows would run as code.
    #[test]
    fn a_comment_stays_one() {
        let mut text = String::new();
        comment(&mut text, "part) G0 Z-50 (naïve");
        assert_eq!(text, "(PART  G0 Z-50  NA_VE)\n");
        let mut text = String::new();
        comment(&mut text, &"long words ".repeat(20));
        assert!(text.lines().count() > 2);
        assert!(text.lines().all(|line| line.len() <= 70
            && line.starts_with('(')
            && line.ends_with(')')));
    }

    #[test]
    fn zero_has_no_sign() {
        assert_eq!(word('Z', -0.0004), "Z0.000");
        assert_eq!(word('X', -12.3456), "X-12.346");
    }
}
