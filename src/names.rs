//! Members of a closed set, written by their names.

/// Makes `$type` show itself, and stand in JSON, as what its method `$name` says. In a JSON
/// schema it is a string: a later version may add members.
macro_rules! written_by {
    ($type:ty, $name:ident) => {
        impl std::fmt::Display for $type {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.$name())
            }
        }

        impl serde::Serialize for $type {
            fn serialize<S: serde::Serializer>(
                &self,
                serializer: S,
            ) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.$name())
            }
        }

        impl schemars::JsonSchema for $type {
            fn inline_schema() -> bool {
                String::inline_schema()
            }

            fn schema_name() -> std::borrow::Cow<'static, str> {
                String::schema_name()
            }

            fn json_schema(
                generator: &mut schemars::SchemaGenerator,
            ) -> schemars::Schema {
                String::json_schema(generator)
            }
        }
    };
}

pub(crate) use written_by;
