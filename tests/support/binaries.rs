//! Where the real binaries are.

use std::env;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// Returns the person's command line.
#[must_use]
pub fn tarehand() -> PathBuf {
    find("tarehand", "TAREHAND_BIN")
}

/// Returns the service.
#[must_use]
pub fn tarehandd() -> PathBuf {
    find("tarehandd", "TAREHANDD_BIN")
}

/// Returns the top folder of the repository.
#[must_use]
pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("the tests' package is a folder of the repository")
}

/// Takes the path that the test run gives, or else builds: an old binary left behind is never tested.
fn find(name: &str, given: &str) -> PathBuf {
    let path = match env::var_os(given) {
        Some(path) => PathBuf::from(path),
        None => built().join(name),
    };
    assert!(path.is_file(), "no binary at {}", path.display());
    path
}

/// Builds both once a test process and returns the folder they are in.
fn built() -> &'static Path {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER.get_or_init(|| {
        // …/target/debug/deps/whole-0123: the binaries stand two folders up.
        let test = env::current_exe().unwrap();
        let profile = test.ancestors().nth(2).unwrap();
        let cargo = env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let mut build = Command::new(cargo);
        build
            .args(["build", "--quiet", "-p", "tarehand", "-p", "tarehandd"])
            .arg("--target-dir")
            .arg(profile.parent().unwrap())
            .current_dir(repository());
        if profile.ends_with("release") {
            build.arg("--release");
        }
        let status = build.status().expect("cargo is there: it built this test");
        assert!(status.success(), "the binaries do not build");
        profile.to_owned()
    })
}
