//! The properties of `protocol/tests/fuzzed`, for a fuzzer.

#[path = "../../../protocol/tests/fuzzed/properties/mod.rs"]
mod properties;

/// Tries a property on an input; it panics when it does not hold.
///
/// # Panics
/// Also when there is no property of that name.
pub fn holds(name: &str, input: &[u8]) {
    let property = properties::ALL
        .iter()
        .find(|property| property.name == name);
    let property = property.unwrap_or_else(|| panic!("no property is called {name}"));
    (property.holds)(input);
}
