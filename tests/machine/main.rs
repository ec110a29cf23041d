//! What runs inside the small machine: the service at real device nodes and at a real Bluetooth service.
//!
//! `tests/machine/boot` makes the machine and starts this as its only work. Here a kernel plays the devices to itself, so
//! that nothing of the host is touched; every other program of the machine is the real one.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that tells its outcome on the machine's console"
)]

mod gadget;
mod machine;
mod pan;
mod peripheral;
mod radio;
mod scenes;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::time::Instant;

use crate::machine::Machine;
use crate::scenes::SCENES;

#[expect(
    clippy::disallowed_methods,
    reason = "how long a scene took is told; nothing is decided by it"
)]
fn main() -> ExitCode {
    let mut machine = Machine::start();
    let (mut passed, mut failed) = (0, 0);
    for (name, scene) in SCENES {
        let began = Instant::now();
        let outcome = catch_unwind(AssertUnwindSafe(|| scene(&mut machine)));
        let took = began.elapsed().as_secs();
        match outcome {
            Ok(()) => {
                passed += 1;
                println!("ok      {took:3} s  {name}");
            }
            // What went wrong stands above, as the panic told it.
            Err(_) => {
                failed += 1;
                println!("FAILED  {took:3} s  {name}\n{}", machine.said());
            }
        }
        machine.clean();
    }
    println!("machine: {passed} passed, {failed} failed");
    if failed == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
