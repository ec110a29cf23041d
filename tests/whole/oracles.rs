//! The program agrees with the values that the outside references are held against (`tests/oracles`).

use std::fs;

use serde_json::Value;
use tarehand_protocol::{Decimal, MassUnit};
use tarehand_tests::binaries::repository;

fn stated(name: &str) -> Value {
    let path = repository().join("fixtures/oracles").join(name);
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

fn entries<'a>(statement: &'a Value, list: &str) -> &'a [Value] {
    statement[list].as_array().unwrap()
}

fn unit(entry: &Value) -> MassUnit {
    entry["unit"].as_str().unwrap().parse().unwrap()
}

// PyPI `pint`, by way of tests/oracles/units.py.
#[test]
fn every_unit_of_mass_is_what_the_reference_says() {
    let statement = stated("units.json");
    let listed = entries(&statement, "mass");
    assert_eq!(
        listed.iter().map(unit).collect::<Vec<_>>(),
        MassUnit::ALL,
        "every unit is in the list"
    );
    for entry in listed {
        let (numerator, denominator) = unit(entry).micrograms();
        let stated = |key: &str| i128::from(entry[key].as_i64().unwrap());
        assert_eq!(
            i128::from(numerator) * stated("denominator"),
            i128::from(denominator) * stated("numerator"),
            "{entry}"
        );
    }
}

// PyPI `pint` with Python's `fractions`, by way of tests/oracles/units.py.
#[test]
fn a_number_of_a_unit_is_rounded_once_as_the_reference_rounds() {
    let statement = stated("units.json");
    for entry in entries(&statement, "rounded") {
        let number: Decimal = entry["number"].as_str().unwrap().parse().unwrap();
        let mass = unit(entry).mass(number).unwrap();
        assert_eq!(
            mass.micrograms(),
            entry["micrograms"].as_i64().unwrap(),
            "{entry}"
        );
    }
}
