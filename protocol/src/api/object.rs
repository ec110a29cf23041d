//! JSON objects that are given as objects.
//!
//! Derived readers also take a list of the values in the order of the fields, which the document does not offer.

use std::fmt;
use std::marker::PhantomData;

use serde::de::value::MapAccessDeserializer;
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer};

/// Reads a message that stands inside another one, and takes nothing but an object for it.
pub(super) fn only<'de, D: Deserializer<'de>, T: Deserialize<'de>>(
    deserializer: D,
) -> Result<T, D::Error> {
    deserializer.deserialize_map(Object(PhantomData))
}

struct Object<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for Object<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map))
    }
}

#[cfg(test)]
mod tests {
    use crate::api::CheckRequest;

    #[test]
    fn a_list_is_no_object() {
        let check = |measures: &str| {
            let body = format!("{{\"recipes\": {{}}, \"measures\": {measures}}}");
            serde_json::from_str::<CheckRequest>(&body).is_ok()
        };
        assert!(check("{\"spoon\": \"metric\"}"));
        assert!(!check("[null, null]"));
        assert!(!check("{\"fork\": 1}"));
    }
}
