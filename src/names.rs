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

        #[cfg(test)]
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

/// Lets `$type` be read where it is written by its method `$name`; `$all` are its members.
macro_rules! read_by {
    ($type:ty, $name:ident, $all:expr) => {
        impl<'de> serde::Deserialize<'de> for $type {
            fn deserialize<D: serde::Deserializer<'de>>(
                deserializer: D,
            ) -> Result<Self, D::Error> {
                let name = <String as serde::Deserialize>::deserialize(deserializer)?;
                let found = $all.into_iter().find(|it: &Self| it.$name() == name);
                found.ok_or_else(|| {
                    serde::de::Error::custom(format!("{name:?} is no name here"))
                })
            }
        }
    };
}

pub(crate) use read_by;

/// Checks that the JSON Schema of `T` stands in the file at `path` of this project as `kept`;
/// where it does not, the
/// schema to put there is left among the temporary files. So nobody who builds the
/// program has to build what makes schemas.
#[cfg(test)]
pub(crate) fn assert_schema_is_current<T: schemars::JsonSchema>(kept: &str, path: &str) {
    let made = serde_json::to_string_pretty(&schemars::schema_for!(T)).unwrap() + "\n";
    if made != kept {
        let place = std::env::temp_dir().join(path.rsplit('/').next().unwrap());
        std::fs::write(&place, made).unwrap();
        panic!("{path} is not that of the types: copy {} over it", place.display());
    }
}
