//! `drill.csv`: the drill table for a spreadsheet.

use crate::schema::mold::Hole;

const HEAD: [&str; 11] = [
    "number", "half", "kind", "x_mm", "y_mm", "end_x_mm", "end_y_mm", "width_mm",
    "depth_mm", "through", "how",
];

/// One line a hole, under a line of names.
pub(crate) fn csv(holes: &[Hole]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEAD)?;
    let number = |value: f64| format!("{value:.3}");
    for hole in holes {
        let end = hole.end_mm.map(|end| end.map(number));
        let [end_x, end_y] = end.unwrap_or_default();
        writer.write_record([
            hole.number.to_string(),
            hole.half.to_string(),
            hole.kind.to_string(),
            number(hole.x_mm),
            number(hole.y_mm),
            end_x,
            end_y,
            number(hole.width_mm),
            number(hole.depth_mm),
            if hole.through { "yes" } else { "no" }.to_owned(),
            hole.how.clone(),
        ])?;
    }
    writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}
