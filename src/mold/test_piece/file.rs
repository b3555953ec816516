//! The measures of a test piece as a file, so that its shots are judged by the piece that was cut.

use serde::Deserialize;

use super::{Step, TestPiece};
use crate::units::format::four_digits;
use crate::units::{self, Angle, FileError, Length, in_degrees, in_mm};

/// How the file is called.
pub const NAME: &str = "test-piece.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    #[serde(deserialize_with = "units::given")]
    width: Length,
    #[serde(deserialize_with = "units::given")]
    draft: Angle,
    #[serde(deserialize_with = "units::given")]
    mark: Length,
    steps: Vec<WrittenStep>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenStep {
    #[serde(deserialize_with = "units::given")]
    wall: Length,
    #[serde(deserialize_with = "units::given")]
    length: Length,
}

/// Steps of a strip at most.
const MOST_STEPS: usize = 8;

impl TestPiece {
    /// The file.
    pub fn write(&self) -> String {
        let mm = |value: f64| format!("\"{} mm\"", four_digits(value));
        let steps = self.steps.iter().map(|step| {
            format!("    {{ wall = {}, length = {} }},\n", mm(step.wall), mm(step.length))
        });
        format!(
            "# The test piece as it is cut: a strip from the gate on, wound to a spiral.\n\
             # \"goodshot calibrate\" reads this file for shots of part = \"test piece\": keep it beside their log,\n\
             # and change it where the mold was cut otherwise.\n\
             width = {}\ndraft = \"{} deg\"\nmark = {}\nsteps = [\n{}]\n",
            mm(self.width),
            four_digits(self.draft_deg),
            mm(self.mark),
            steps.collect::<String>()
        )
    }

    /// Reads the file.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line and key.
    pub fn parse(text: &str) -> Result<Self, FileError> {
        let read: Written = units::from_toml(text)?;
        let step = |step: &WrittenStep| Step {
            wall: in_mm(step.wall),
            length: in_mm(step.length),
        };
        let piece = Self {
            steps: read.steps.iter().map(step).collect(),
            width: in_mm(read.width),
            draft_deg: in_degrees(read.draft),
            mark: in_mm(read.mark),
        };
        match piece.problem() {
            None => Ok(piece),
            Some((key, problem)) => {
                let at = text.lines().position(|line| line.contains(key));
                Err(FileError {
                    line: at.map_or(1, |at| at + 1),
                    key: key.to_owned(),
                    problem: problem.to_owned(),
                })
            }
        }
    }

    /// The first measure that cannot be: its key and why.
    fn problem(&self) -> Option<(&'static str, &'static str)> {
        let off = |is: bool, key, why| is.then_some((key, why));
        let all = |of: &dyn Fn(&Step) -> bool| self.steps.iter().all(of);
        off(!(6.0..=40.0).contains(&self.width), "width", "a strip is 6 mm to 40 mm wide")
            .or(off(
                !(0.0..=15.0).contains(&self.draft_deg),
                "draft",
                "its sides lean by 0 to 15 deg",
            ))
            .or(off(
                !(0.2..=2.5).contains(&self.mark),
                "mark",
                "a mark is 0.2 mm to 2.5 mm wide",
            ))
            .or(off(
                !(1..=MOST_STEPS).contains(&self.steps.len()),
                "steps",
                "a strip has 1 to 8 steps",
            ))
            .or(off(
                !all(&|step| (0.3..=6.0).contains(&step.wall)),
                "wall",
                "a wall is 0.3 mm to 6 mm thick",
            ))
            .or(off(
                !all(&|step| (10.0..=1000.0).contains(&step.length)),
                "length",
                "a step is 10 mm to 1000 mm long",
            ))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Step, TestPiece};

    #[test]
    fn a_piece_is_read_as_it_was_written() {
        let steps =
            vec![Step { wall: 3.0, length: 65.0 }, Step { wall: 1.5, length: 20.0 }];
        let piece = TestPiece { steps, width: 8.0, draft_deg: 3.0, mark: 1.0 };
        let text = piece.write();
        let read = TestPiece::parse(&text).unwrap();
        assert!((read.draft_deg - 3.0).abs() < 1e-12);
        assert_eq!(TestPiece { draft_deg: 3.0, ..read }, piece);
        for (from, to, line, key) in [
            ("\"8 mm\"", "\"8 kg\"", 4, "width"),
            ("\"8 mm\"", "\"80 mm\"", 4, "width"),
            ("wall = \"3 mm\"", "wall = \"30 mm\"", 8, "wall"),
            ("length = \"65 mm\"", "length = \"6 mm\"", 8, "length"),
        ] {
            let error = TestPiece::parse(&text.replace(from, to)).unwrap_err();
            assert_eq!((error.line, error.key.as_str()), (line, key), "{error}");
        }
    }
}
