//! An open serial port, as little of it as a link needs.

use std::io::{self, Read, Write};
use std::time::Duration;

use serialport::{ClearBuffer, SerialPort};

use super::settings::Settings;

/// An open serial port, as little of it as a link needs.
///
/// Dropping it closes it.
pub(super) trait Port: Send {
    /// Reads what has arrived, waiting at most `wait` (wall time) for the first byte.
    ///
    /// Nothing in that time is [`io::ErrorKind::TimedOut`].
    fn read(&mut self, buffer: &mut [u8], wait: Duration) -> io::Result<usize>;

    /// Writes a whole command.
    fn write(&mut self, command: &[u8]) -> io::Result<()>;

    /// Throws away what has arrived and was not read.
    fn clear_input(&mut self) -> io::Result<()>;

    /// Changes how the bits are read, without closing.
    fn apply(&mut self, settings: Settings) -> io::Result<()>;
}

/// A real port of this machine.
pub(super) struct SystemPort {
    port: Box<dyn SerialPort>,
}

impl SystemPort {
    pub(super) fn new(port: Box<dyn SerialPort>) -> Self {
        Self { port }
    }
}

impl Port for SystemPort {
    fn read(&mut self, buffer: &mut [u8], wait: Duration) -> io::Result<usize> {
        if self.port.timeout() != wait {
            self.port.set_timeout(wait)?;
        }
        self.port.read(buffer)
    }

    fn write(&mut self, command: &[u8]) -> io::Result<()> {
        self.port.write_all(command)
    }

    fn clear_input(&mut self) -> io::Result<()> {
        Ok(self.port.clear(ClearBuffer::Input)?)
    }

    fn apply(&mut self, settings: Settings) -> io::Result<()> {
        self.port.set_baud_rate(settings.speed)?;
        self.port.set_data_bits(settings.data_bits)?;
        self.port.set_parity(settings.parity)?;
        self.port.set_stop_bits(settings.stop_bits)?;
        Ok(())
    }
}

impl Drop for SystemPort {
    fn drop(&mut self) {
        // Closing waits up to half a minute for a command that the device does not take: take it back.
        let taken_back = self.port.clear(ClearBuffer::Output);
        if let Err(error) = taken_back {
            tracing::trace!(%error, "closing a port that is gone");
        }
    }
}
