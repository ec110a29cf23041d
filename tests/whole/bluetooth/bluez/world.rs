//! What the double of the Bluetooth service is in: a radio, a pan, and scales that weigh it.

use std::sync::{Arc, Mutex};

use tarehand_tests::window_pan::START;

pub(super) const RADIO: &str = "/org/bluez/hci0";

/// The company under whose number a scale calls out; 0xffff is for tests (Bluetooth Assigned Numbers, 7.1).
pub(crate) const COMPANY: u16 = 0xffff;

/// How a scale answers who wants to connect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Connects {
    Well,
    Refuses,
    Hangs,
}

/// What a scale offers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Offers {
    /// A characteristic of its own that streams the weight once it is told to.
    Own,
    /// The open Weight Scale Service, and how full its battery is.
    WeightScale,
    /// Nothing: the weight is in what it calls out.
    CalledOut,
}

/// One scale.
#[derive(Clone, Debug)]
pub(crate) struct Scale {
    pub(crate) name: String,
    pub(crate) offers: Offers,
    /// Whether it calls out.
    pub(crate) awake: bool,
    pub(crate) connects: Connects,
    /// Whether it says nothing though it is connected.
    pub(crate) mute: bool,
    /// Whether the service repeats the value it has kept when somebody subscribes.
    pub(crate) replays: bool,
    /// Whether every notification is seen twice.
    pub(crate) twice: bool,
    /// What was written to it.
    pub(crate) written: Vec<Vec<u8>>,
    /// How often it was connected to.
    pub(crate) connections: u16,
    pub(super) connecting: bool,
    pub(super) connected: bool,
    pub(super) resolved: bool,
    pub(super) notifying: bool,
    pub(super) value: Vec<u8>,
}

impl Scale {
    pub(crate) fn new(name: &str, offers: Offers) -> Self {
        Self {
            name: name.to_owned(),
            offers,
            awake: true,
            connects: Connects::Well,
            mute: false,
            replays: false,
            twice: false,
            written: Vec::new(),
            connections: 0,
            connecting: false,
            connected: false,
            resolved: false,
            notifying: false,
            value: Vec::new(),
        }
    }

    /// Whether it has been told to speak.
    pub(super) fn is_started(&self) -> bool {
        self.written
            .iter()
            .any(|written| written == START.as_bytes())
    }
}

/// The radio, what stands on the pan, and the scales, which all weigh the same pan.
#[derive(Clone, Debug)]
pub(crate) struct World {
    pub(super) powered: bool,
    pub(super) discovering: bool,
    /// How often somebody switched the radio on that was off.
    pub(crate) switched_on: u32,
    pub(crate) gross_ug: i64,
    /// What is still to be poured, and how much of it in a period.
    pub(crate) to_pour_ug: i64,
    pub(super) flow_ug: i64,
    pub(crate) scales: Vec<Scale>,
}

pub(super) type Shared = Arc<Mutex<World>>;

/// The address of a scale by its number.
pub(crate) fn address(scale: usize) -> String {
    format!("AA:BB:CC:00:00:{scale:02X}")
}

pub(super) fn device_path(scale: usize) -> String {
    format!("{RADIO}/dev_{}", address(scale).replace(':', "_"))
}
