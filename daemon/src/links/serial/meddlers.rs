//! Services of the system that reach for serial adapters, so that a scale's port is busy, says nonsense or vanishes.

use std::fs;
use std::path::Path;

/// A service that runs now and may reach for a scale's adapter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meddler {
    /// It talks to every adapter that is plugged in, to see whether it is a modem.
    Modems,
    /// It takes adapters that braille displays use too, and their ports vanish.
    Braille,
}

impl Meddler {
    const ALL: [Self; 2] = [Self::Modems, Self::Braille];

    /// Returns the name of its process, and of its unit.
    #[must_use]
    pub const fn process(self) -> &'static str {
        match self {
            Self::Modems => "ModemManager",
            Self::Braille => "brltty",
        }
    }

    /// Returns the one whose process is called so.
    #[must_use]
    pub fn named(process: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|meddler| meddler.process() == process)
    }

    /// Says what it does to a scale.
    #[must_use]
    pub fn what(self) -> String {
        let process = self.process();
        match self {
            Self::Modems => format!(
                "`{process}` runs: it talks to a serial adapter for some seconds after it is plugged in, to see whether it is a modem"
            ),
            Self::Braille => format!(
                "`{process}` runs: it takes serial adapters that braille displays use too, and the port of a scale then vanishes"
            ),
        }
    }

    /// Returns what the person can do about it.
    #[must_use]
    pub fn hint(self) -> String {
        let process = self.process();
        match self {
            Self::Modems => format!(
                "if no modem is needed: `sudo systemctl disable --now {process}`; else wait half a minute after plugging the scale in"
            ),
            Self::Braille => format!(
                "if no braille display is needed: `sudo systemctl mask --now {process}`, then plug the scale in again"
            ),
        }
    }
}

/// Returns those that run now.
#[must_use]
pub fn meddlers() -> Vec<Meddler> {
    among(Path::new("/proc"))
}

/// Looks at the names of the processes that a folder shows as proc(5) has them.
fn among(proc: &Path) -> Vec<Meddler> {
    let Ok(entries) = fs::read_dir(proc) else {
        return Vec::new();
    };
    let names = entries.flatten().filter_map(|entry| {
        let number = entry.file_name();
        let is_process = number.to_str()?.bytes().all(|digit| digit.is_ascii_digit());
        let name = is_process.then(|| fs::read_to_string(entry.path().join("comm")));
        name?.ok()
    });
    let mut found: Vec<Meddler> = names
        .filter_map(|name| Meddler::named(name.trim()))
        .collect();
    found.sort_by_key(|meddler| meddler.process());
    found.dedup();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn services_that_reach_for_adapters_are_found_by_the_names_of_their_processes() {
        let folder = tempfile::tempdir().unwrap();
        let process = |number: &str, name: &str| {
            fs::create_dir(folder.path().join(number)).unwrap();
            fs::write(folder.path().join(number).join("comm"), name).unwrap();
        };
        process("1", "init\n");
        process("self", "brltty\n");
        assert_eq!(among(folder.path()), []);
        process("211", "brltty\n");
        process("90", "ModemManager\n");
        process("91", "ModemManager\n");
        assert_eq!(among(folder.path()), [Meddler::Modems, Meddler::Braille]);
        assert_eq!(among(&folder.path().join("nothing")), []);
    }

    #[test]
    fn each_says_what_it_does_and_how_it_is_stopped() {
        for meddler in Meddler::ALL {
            assert!(meddler.what().contains(meddler.process()));
            assert!(meddler.hint().contains("systemctl"));
            assert_eq!(Meddler::named(meddler.process()), Some(meddler));
        }
    }
}
