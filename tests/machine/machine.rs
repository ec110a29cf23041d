//! The small machine with everything in it: devices, the pan they weigh, and the service.

use std::time::Duration;

use tarehand_tests::{Home, Onlooker, Service, run};

use crate::gadget::{Gadget, Voices};
use crate::pan::Pan;
use crate::peripheral::Peripheral;
use crate::radio::Radio;

/// How long is waited for a thing: every instruction here is made up by another.
const PATIENCE: Duration = Duration::from_secs(40);

/// What is dropped first ends first.
#[derive(Debug)]
pub(crate) struct Machine {
    bench: Bench,
    pub(crate) pan: Pan,
    pub(crate) peripheral: Peripheral,
    pub(crate) radio: Radio,
    pub(crate) gadget: Gadget,
}

/// A service in a home of its own.
#[derive(Debug)]
struct Bench {
    service: Service,
    home: Home,
}

impl Bench {
    fn new() -> Self {
        let home = Home::new();
        let service = Service::start(&home, &[]);
        Self { service, home }
    }
}

impl Machine {
    /// Starts all of it. Nothing is plugged in, and the radio scale sleeps.
    pub(crate) fn start() -> Self {
        let radio = Radio::start();
        let peripheral = Peripheral::new();
        let sensor = peripheral.sensor();
        let mut voices = Voices::default();
        let pan = Pan::new(move |weighed| {
            sensor.feel(weighed.gross_ug);
            voices.say(weighed);
        });
        Self {
            bench: Bench::new(),
            pan,
            peripheral,
            radio,
            gadget: Gadget::make(),
        }
    }

    /// Makes it as it was at the start, with a new service, so that no scene sees another.
    pub(crate) fn clean(&mut self) {
        self.bench = Bench::new();
        self.pan.clear();
        self.gadget.unplug();
        self.peripheral.sleep();
    }

    /// Runs a command of the person, which succeeds.
    #[track_caller]
    pub(crate) fn person(&self, arguments: &[&str]) -> String {
        run(&mut self.bench.home.tarehand(arguments), "", PATIENCE).good()
    }

    /// Returns one who looks at the bench, and has patience.
    pub(crate) fn onlooker(&self) -> Onlooker {
        let client = self.bench.service.client().clone();
        Onlooker::new(client).patient(PATIENCE)
    }

    /// Returns what the service and the Bluetooth service have said.
    pub(crate) fn said(&self) -> String {
        let (_, service) = self.bench.service.process().said();
        let radio = self.radio.said();
        format!("{service}\n-- the Bluetooth service --\n{radio}")
    }
}
