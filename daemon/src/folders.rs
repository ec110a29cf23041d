//! Where things are kept: the XDG folders, each with one variable and one flag to move it.

use std::io;
use std::os::unix::fs::{DirBuilderExt, PermissionsExt};
use std::path::{Path, PathBuf};

use clap::Args;
use etcetera::BaseStrategy;

/// The folders of the service, as flags and variables.
#[derive(Args, Clone, Debug, Default)]
pub struct FolderArgs {
    /// Folder of the settings and the common shelf [default: the config folder of your desktop, tarehand]
    #[arg(
        long,
        global = true,
        env = "TAREHAND_CONFIG_DIR",
        value_name = "DIR",
        hide_env_values = true,
        help_heading = "Folders"
    )]
    pub config_dir: Option<PathBuf>,
    /// Folder of the log [default: the data folder of your desktop, tarehand]
    #[arg(
        long,
        global = true,
        env = "TAREHAND_DATA_DIR",
        value_name = "DIR",
        hide_env_values = true,
        help_heading = "Folders"
    )]
    pub data_dir: Option<PathBuf>,
    /// Folder of the service's socket and lock [default: the runtime folder of your session, tarehand]
    #[arg(
        long,
        global = true,
        env = "TAREHAND_RUNTIME_DIR",
        value_name = "DIR",
        hide_env_values = true,
        help_heading = "Folders"
    )]
    pub runtime_dir: Option<PathBuf>,
}

/// The folders of the service.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Folders {
    /// Settings and the common shelf.
    pub config: PathBuf,
    /// The log.
    pub data: PathBuf,
    /// The socket and the lock.
    pub runtime: PathBuf,
}

/// Why there is no place to keep things.
#[derive(Debug, thiserror::Error)]
pub enum FoldersError {
    /// There is no home folder.
    #[error("there is no home folder to keep anything in")]
    NoHome,
    /// A folder could not be made.
    #[error("cannot make the folder {}", path.display())]
    Make {
        /// Which.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

impl FoldersError {
    /// Returns what the person can do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::NoHome => {
                "set HOME, or name the folders with --config-dir, --data-dir and --runtime-dir"
            }
            Self::Make { .. } => "see who owns the folder above it, or name another one",
        }
    }
}

impl Folders {
    /// Resolves the folders; nothing is made yet.
    ///
    /// # Errors
    /// When there is no home folder and not every folder was named.
    pub fn resolve(args: &FolderArgs) -> Result<Self, FoldersError> {
        let strategy = etcetera::choose_base_strategy().ok();
        let place = |named: &Option<PathBuf>, usual: Option<PathBuf>| {
            named
                .clone()
                .or_else(|| usual.map(|folder| folder.join("tarehand")))
                .ok_or(FoldersError::NoHome)
        };
        let data = place(
            &args.data_dir,
            strategy.as_ref().map(BaseStrategy::data_dir),
        )?;
        // Without a session's runtime folder the state folder serves: it is private too.
        let runtime = strategy
            .as_ref()
            .and_then(|s| s.runtime_dir().or_else(|| s.state_dir()));
        Ok(Self {
            config: place(
                &args.config_dir,
                strategy.as_ref().map(BaseStrategy::config_dir),
            )?,
            runtime: place(&args.runtime_dir, runtime)?,
            data,
        })
    }

    /// Makes the folders that must be there, readable by their owner alone.
    ///
    /// # Errors
    /// When one cannot be made.
    pub fn make(&self) -> Result<(), FoldersError> {
        for path in [&self.data, &self.runtime] {
            private(path).map_err(|source| FoldersError::Make {
                path: path.clone(),
                source,
            })?;
        }
        Ok(())
    }

    /// Returns the path of the service's socket.
    #[must_use]
    pub fn socket(&self) -> PathBuf {
        self.runtime.join("service.socket")
    }

    /// Returns the path of the lock that the running service holds.
    #[must_use]
    pub fn lock(&self) -> PathBuf {
        self.runtime.join("service.lock")
    }

    /// Returns the path of the log.
    #[must_use]
    pub fn log(&self) -> PathBuf {
        self.data.join("log.sqlite")
    }

    /// Returns the path of the file that says who was let in to the page.
    #[must_use]
    pub fn page(&self) -> PathBuf {
        self.data.join("page.json")
    }

    /// Returns the path of the file that says which recipe folder the page reads.
    #[must_use]
    pub fn recipes(&self) -> PathBuf {
        self.data.join("recipes.json")
    }

    /// Returns the path of the file that says what of the record is learnt from.
    #[must_use]
    pub fn learnt(&self) -> PathBuf {
        self.data.join("learnt.json")
    }

    /// Returns the path of the common shelf.
    #[must_use]
    pub fn shelf(&self) -> PathBuf {
        self.config.join("shelf.toml")
    }

    /// Returns the path of the settings.
    #[must_use]
    pub fn settings(&self) -> PathBuf {
        self.config.join("settings.toml")
    }
}

fn private(path: &Path) -> io::Result<()> {
    std::fs::DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(path)?;
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o700))
}
