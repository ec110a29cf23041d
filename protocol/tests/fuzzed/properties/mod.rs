//! What must hold of every decoder whatever comes.
//!
//! Each property takes bytes nobody chose and panics when it does not hold. They are looked for by a fuzzer that
//! follows coverage (`tests/fuzz`), and what it kept is tried again in every run of the tests.

mod capture;
mod checked_lines;
mod feed;
mod frames;
mod kit;
mod kit_rules;
mod layouts;
mod lines;
mod profile_text;
mod run;
mod settings;
mod teaching;
mod usb;
mod weight_service;

/// A property and its name.
pub(crate) struct Property {
    pub(crate) name: &'static str,
    pub(crate) holds: fn(&[u8]),
}

/// Every property.
pub(crate) const ALL: [Property; 10] = [
    Property {
        name: "lines",
        holds: lines::shapes,
    },
    Property {
        name: "patterns",
        holds: lines::patterns,
    },
    Property {
        name: "checked-lines",
        holds: checked_lines::holds,
    },
    Property {
        name: "layouts",
        holds: layouts::holds,
    },
    Property {
        name: "frames",
        holds: frames::holds,
    },
    Property {
        name: "weight-service",
        holds: weight_service::holds,
    },
    Property {
        name: "usb",
        holds: usb::holds,
    },
    Property {
        name: "profile-text",
        holds: profile_text::holds,
    },
    Property {
        name: "capture",
        holds: capture::holds,
    },
    Property {
        name: "teaching",
        holds: teaching::holds,
    },
];
