//! How long each stage of a check took.

use std::cell::RefCell;
use std::fmt;
use std::time::{Duration, Instant};

/// Stages as they begin, each with when; the last is still going on.
#[derive(Default)]
pub(super) struct StageTimes(RefCell<Vec<(String, Instant)>>);

impl StageTimes {
    /// A stage begins, and the one before it ends.
    pub(super) fn begin(&self, stage: impl Into<String>) {
        self.0.borrow_mut().push((stage.into(), Instant::now()));
    }
}

/// One line for each stage until now, and one for all.
impl fmt::Display for StageTimes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (stages, now) = (self.0.borrow(), Instant::now());
        let line = |f: &mut fmt::Formatter<'_>, took: Duration, what: &str| {
            writeln!(f, "{:>8.2} s  {what}", took.as_secs_f64())
        };
        for (index, (stage, begun)) in stages.iter().enumerate() {
            let ended = stages.get(index + 1).map_or(now, |next| next.1);
            line(f, ended - *begun, stage)?;
        }
        match stages.first() {
            Some((_, begun)) => line(f, now - *begun, "in all"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::StageTimes;

    #[test]
    fn each_stage_has_a_line_and_all_of_them_the_last() {
        let times = StageTimes::default();
        assert_eq!(times.to_string(), "");
        for stage in ["reading", "drawing"] {
            times.begin(stage);
        }
        let text = times.to_string();
        let names: Vec<&str> = text
            .lines()
            .filter_map(|line| line.split_once(" s  "))
            .map(|it| it.1)
            .collect();
        assert_eq!(names, ["reading", "drawing", "in all"]);
    }
}
