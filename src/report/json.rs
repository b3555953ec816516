//! `report.json`: the report itself, and the schema that it keeps.

use crate::schema::Report;

/// The JSON Schema of `report.json`, as made from its types; a test keeps it so.
pub const JSON_SCHEMA: &str = include_str!("report.schema.json");

/// `report` as JSON, indented, with a line end at the end. A number that is not finite
/// becomes `null`.
///
/// # Errors
/// Never for a [`Report`]: all its keys are text.
pub fn write(report: &Report) -> serde_json::Result<String> {
    let mut text = serde_json::to_string_pretty(report)?;
    text.push('\n');
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::{JSON_SCHEMA, write};
    use crate::names::assert_schema_is_current;
    use crate::schema::{Report, fixtures};

    #[test]
    fn hostile_text_survives_and_what_is_not_finite_is_null() {
        let mut report = fixtures::report();
        report.part.area_mm2 = f64::NAN;
        let text = write(&report).unwrap();
        assert!(text.ends_with("}\n"));
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["part"]["file"], fixtures::HOSTILE);
        assert_eq!(value["part"]["area_mm2"], serde_json::Value::Null);
        assert_eq!(value["verdict"], "fix_first");
        assert_eq!(value["findings"][0]["severity"], "stop");
        assert_eq!(value["shot"]["part_g"], serde_json::Value::Null);
        assert_eq!(text, write(&report).unwrap());
    }

    /// What the page compares, it reads from the file.
    #[test]
    fn a_report_that_is_written_is_read_again() {
        let text = write(&fixtures::report()).unwrap();
        let read: Report = serde_json::from_str(&text).unwrap();
        assert_eq!(write(&read).unwrap(), text);
    }

    #[test]
    fn the_schema_is_that_of_the_types() {
        assert_schema_is_current::<Report>(JSON_SCHEMA, "src/report/report.schema.json");
    }

    #[test]
    fn the_schema_names_every_key_that_is_written() {
        let schema: serde_json::Value = serde_json::from_str(JSON_SCHEMA).unwrap();
        let report = serde_json::to_value(fixtures::report()).unwrap();
        let keys = schema["properties"].as_object().unwrap();
        for (key, _) in report.as_object().unwrap() {
            assert!(keys.contains_key(key), "{key}");
        }
        assert_eq!(keys.len(), report.as_object().unwrap().len());
    }
}
