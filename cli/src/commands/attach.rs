//! Getting a bench its scale.

use clap::Args;
use tarehand_protocol::api::{
    AttachScale, AttachWord, Need, PortLine, ScaleList, ScaleState, ScaleWord, View, WeightState,
};
use tarehand_protocol::scale::Profile;

use crate::client::{Client, ClientError, Events, Happening, segment};
use crate::failure::Failure;
use crate::files::read_text;
use crate::output::Output;
use crate::words::shown;

/// How long a scale may take to say something before the person is asked nothing.
const FIRST_READING: std::time::Duration = std::time::Duration::from_secs(4);

/// Which scale, as flags.
#[derive(Args, Clone, Debug)]
pub(crate) struct ScaleArgs {
    /// The port of the scale [default: the bench's, else the only one plugged in]
    #[arg(long, value_name = "PATH")]
    port: Option<String>,
    /// A scale on Bluetooth, by its address or its name; kept for the bench
    #[arg(long, value_name = "ADDRESS|NAME", conflicts_with = "port")]
    radio: Option<String>,
    /// The unit of a scale that sends bare numbers; kept for this scale
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    unit: Option<String>,
    /// A scale profile; kept for this scale
    #[arg(long, value_name = "FILE")]
    profile: Option<std::path::PathBuf>,
    /// The bench
    #[arg(long, value_name = "NAME", default_value = "bench")]
    pub(crate) bench: String,
}

/// Which second, finer scale, as flags.
#[derive(Args, Clone, Debug)]
pub(crate) struct FineArgs {
    /// The port of a second, finer scale for small additions; the bench keeps it
    #[arg(long, value_name = "PATH")]
    fine_port: Option<String>,
    /// The unit of a finer scale that sends bare numbers; kept for this scale
    #[arg(long, value_name = "UNIT", value_parser = unit, requires = "fine_port")]
    fine_unit: Option<String>,
    /// The profile of the finer scale; kept for this scale
    #[arg(long, value_name = "FILE", requires = "fine_port")]
    fine_profile: Option<std::path::PathBuf>,
}

impl FineArgs {
    /// Attaches the finer scale, where one is named; `taps` says whether taps on its pan are to count.
    pub(crate) async fn attach(
        &self,
        client: &Client,
        bench: &str,
        taps: bool,
    ) -> Result<(), Failure> {
        let Some(port) = &self.fine_port else {
            return Ok(());
        };
        let message = AttachScale {
            port: Some(port.clone()),
            radio: None,
            unit: self.fine_unit.clone(),
            profile: self.fine_profile.as_deref().map(read_text).transpose()?,
            scale: ScaleWord::Fine,
            to: AttachWord::Weigh,
            taps,
        };
        let _view: View = client.put(&format!("{bench}/scale"), &message).await?;
        Ok(())
    }
}

fn unit(text: &str) -> Result<String, String> {
    match text.parse::<tarehand_protocol::MassUnit>() {
        Ok(unit) => Ok(unit.symbol().to_owned()),
        Err(error) => Err(error.to_string()),
    }
}

/// Whether the scale was there before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Attached {
    /// The bench had it already.
    Before,
    /// This command attached it.
    Now,
}

impl ScaleArgs {
    /// Returns the path of the bench.
    pub(crate) fn bench_path(&self) -> String {
        format!("/v1/benches/{}", segment(&self.bench))
    }

    /// Returns the path of what the bench shows, as it changes.
    pub(crate) fn events_path(&self) -> String {
        format!("{}/events", self.bench_path())
    }

    /// Makes sure that the bench has a scale: the one named, the one it has, or the only one there is; `taps` says
    /// whether taps on its pan are to count.
    pub(crate) async fn attach(
        &self,
        client: &Client,
        taps: bool,
        output: &mut Output,
    ) -> Result<Attached, Failure> {
        let view = bench(client, &self.bench).await?;
        // On the simulated scale of a rehearsal nobody taps.
        let simulated = view.as_ref().is_some_and(|view| view.rehearsal);
        let scale = view.and_then(|view| view.scale);
        let has = scale.is_some();
        if let Some(scale) = scale.filter(|_| self.names_nothing()) {
            if !simulated {
                self.want_taps(client, &scale, taps).await?;
            }
            return Ok(Attached::Before);
        }
        let profile = self.profile_text()?;
        let (port, radio) = self.place(client, profile.as_deref(), output).await?;
        let message = AttachScale {
            port,
            radio,
            unit: self.unit.clone(),
            profile,
            scale: ScaleWord::Main,
            to: AttachWord::Weigh,
            taps,
        };
        let path = format!("{}/scale", self.bench_path());
        let told = message.unit.is_some() || message.profile.is_some();
        // Heard before the scale is attached, so that nothing it says is missed.
        let hears = if told || !Output::can_ask() {
            None
        } else {
            Some(
                client
                    .events(&format!("{}/readings", self.bench_path()))
                    .await?,
            )
        };
        let _view: View = client.put(&path, &message).await?;
        if let Some(readings) = hears
            && let Some(digits) =
                sends_bare_numbers(readings, client.events(&self.events_path()).await?).await
            && let Some(unit) = ask_unit(&digits, output)
        {
            let unit = Some(unit);
            let _view: View = client.put(&path, &AttachScale { unit, ..message }).await?;
        }
        Ok(if has { Attached::Before } else { Attached::Now })
    }

    /// Lets taps on the pan of the bench's own scale count, or not, where that is not so already.
    pub(crate) async fn want_taps(
        &self,
        client: &Client,
        scale: &ScaleState,
        taps: bool,
    ) -> Result<(), Failure> {
        if scale.taps == taps {
            return Ok(());
        }
        let message = AttachScale {
            port: None,
            radio: None,
            unit: None,
            profile: None,
            scale: ScaleWord::Main,
            to: AttachWord::Weigh,
            taps,
        };
        let path = format!("{}/scale", self.bench_path());
        let _view: View = client.put(&path, &message).await?;
        Ok(())
    }

    /// Returns whether nothing is said of a scale: the bench's own is meant, if it has one.
    pub(crate) const fn names_nothing(&self) -> bool {
        self.port.is_none() && self.radio.is_none() && self.unit.is_none() && self.profile.is_none()
    }

    /// Returns the unit that was said.
    pub(crate) fn said_unit(&self) -> Option<tarehand_protocol::MassUnit> {
        self.unit.as_deref()?.parse().ok()
    }

    /// Returns whether the scale was said to be on Bluetooth.
    pub(crate) const fn says_radio(&self) -> bool {
        self.radio.is_some()
    }

    /// Reads the profile that was named.
    pub(crate) fn profile_text(&self) -> Result<Option<String>, Failure> {
        Ok(self.profile.as_deref().map(read_text).transpose()?)
    }

    /// Returns where the scale is: as named, or the only port there is; as a port, or on Bluetooth.
    pub(crate) async fn place(
        &self,
        client: &Client,
        profile: Option<&str>,
        output: &mut Output,
    ) -> Result<(Option<String>, Option<String>), Failure> {
        if let Some(port) = &self.port {
            // The service lives in another folder: a capture is named so that it finds it.
            let path = std::path::Path::new(port);
            let port = match path.is_file() {
                true => std::path::absolute(path)
                    .ok()
                    .and_then(|path| path.into_os_string().into_string().ok()),
                false => None,
            }
            .unwrap_or_else(|| port.clone());
            return Ok((Some(port), None));
        }
        let radio = self.radio.clone().or_else(|| radio_name(profile?));
        if radio.is_some() {
            return Ok((None, radio));
        }
        let port = self.only_port(client).await?;
        output.say(format_args!("scale: {}", shown(&port)));
        Ok((Some(port), None))
    }

    /// Returns the port to use when none was named.
    async fn only_port(&self, client: &Client) -> Result<String, Failure> {
        let list: ScaleList = client.get("/v1/scales").await?;
        only_port(&list.ports, &self.bench)
    }
}

/// Returns the port that a bench reads already, or the only one that is plugged in.
///
/// A port that is built into the machine is there whether or not a scale is: it is taken only where it is named.
fn only_port(ports: &[PortLine], bench: &str) -> Result<String, Failure> {
    let own = |port: &&PortLine| port.bench.as_deref() == Some(bench);
    if let Some(port) = ports.iter().find(own) {
        return Ok(port.path.clone());
    }
    let free = ports.iter().filter(|port| port.bench.is_none());
    let (built_in, plugged_in): (Vec<&PortLine>, Vec<&PortLine>) =
        free.partition(|port| is_built_in(port));
    match (plugged_in.as_slice(), built_in.first()) {
        ([port], _) => Ok(port.path.clone()),
        ([], None) => Err(Failure::Missing {
            what: "no scale is attached".to_owned(),
            hint: "plug it in, then `tarehand scales`; or name its port with --port, or a scale on Bluetooth with --radio; or try `tarehand rehearse`".to_owned(),
        }),
        ([], Some(port)) => Err(Failure::Missing {
            what: "no scale is plugged in".to_owned(),
            hint: format!(
                "plug it in, then `tarehand scales`; a port built into this machine is used when it is named: --port {}; or try `tarehand rehearse`",
                shown(&port.path)
            ),
        }),
        (several, _) => {
            let paths: Vec<&str> = several.iter().map(|port| port.path.as_str()).collect();
            Err(Failure::Usage {
                what: format!("which of these is the scale: {}?", shown(&paths.join(", "))),
                hint: format!("name it, as in --port {}", shown(paths[0])),
            })
        }
    }
}

/// Tells of a port that nothing was plugged in for: the system knows its path and no device. One that was paired by radio
/// is none.
fn is_built_in(port: &PortLine) -> bool {
    port.identity.starts_with("path:") && !port.path.starts_with("/dev/rfcomm")
}

/// Returns the name by which a profile's scale is looked for on Bluetooth.
///
/// A profile that is wrong is told by the service, with all that is wrong in it.
fn radio_name(profile: &str) -> Option<String> {
    let profile = Profile::parse(profile).ok()?;
    profile.settings().bluetooth.as_ref()?.name.clone()
}

/// Returns what the scale says first, when that is a number without a unit.
///
/// A scale that cannot be opened is not waited for: it says nothing, and why is for the person to see.
async fn sends_bare_numbers(readings: Events, views: Events) -> Option<String> {
    let first = async {
        tokio::select! {
            why = first_number_without_unit(readings) => why,
            () = cannot_be_opened(views) => None,
        }
    };
    tokio::time::timeout(FIRST_READING, first)
        .await
        .ok()
        .flatten()
}

async fn first_number_without_unit(mut readings: Events) -> Option<String> {
    loop {
        match readings.next().await {
            Ok(Some(Happening::Reading(reading))) => match reading.needs {
                Some(Need::Unit) => return reading.why,
                // The tail of a line that had begun before says nothing of the next one.
                None if reading.state == WeightState::Rejected => {}
                Some(Need::Field) | None => return None,
            },
            Ok(Some(_)) => {}
            Ok(None) | Err(_) => return None,
        }
    }
}

/// Waits until the bench says why its scale is not open.
async fn cannot_be_opened(mut views: Events) {
    loop {
        match views.next().await {
            Ok(Some(Happening::View(view))) => {
                let closed = |scale: &ScaleState| !scale.open && scale.trouble.is_some();
                if view.scale.as_ref().is_some_and(closed) {
                    return;
                }
            }
            Ok(Some(_)) => {}
            Ok(None) | Err(_) => return,
        }
    }
}

/// Asks for the unit until it is one, or nothing is said.
fn ask_unit(why: &str, output: &mut Output) -> Option<String> {
    loop {
        let question = format!(
            "{}. In which unit does this scale count (g, kg, oz …)?",
            shown(why)
        );
        let answer = output.ask(&question)?;
        match unit(&answer) {
            Ok(unit) => return Some(unit),
            Err(error) => output.say(error),
        }
    }
}

/// Returns a bench's view; `None` when the service knows no such bench yet.
pub(crate) async fn bench(client: &Client, name: &str) -> Result<Option<View>, ClientError> {
    match client.get(&format!("/v1/benches/{}", segment(name))).await {
        Ok(view) => Ok(Some(view)),
        Err(ClientError::Problem(problem)) if problem.status == 404 => Ok(None),
        Err(error) => Err(error),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn port(path: &str, identity: &str, bench: Option<&str>) -> PortLine {
        PortLine {
            path: path.to_owned(),
            product: None,
            identity: identity.to_owned(),
            state: "free".to_owned(),
            hint: None,
            bench: bench.map(str::to_owned),
        }
    }

    #[test]
    fn the_only_port_that_is_plugged_in_is_taken_and_a_built_in_one_only_by_its_name() {
        let built_in = port("/dev/ttyS0", "path:/dev/ttyS0", None);
        let plugged_in = port("/dev/ttyUSB0", "usb:1a2b:3c4d", None);
        let both = [built_in.clone(), plugged_in.clone()];
        assert_eq!(only_port(&both, "bench").unwrap(), "/dev/ttyUSB0");
        let alone = only_port(&[built_in], "bench").unwrap_err();
        let Failure::Missing { what, hint } = alone else {
            panic!("nothing is taken");
        };
        assert_eq!(what, "no scale is plugged in");
        assert!(hint.contains("--port /dev/ttyS0"), "{hint}");
        let other = port("/dev/ttyACM0", "usb:5e6f:7a8b", None);
        let which = only_port(&[plugged_in, other], "bench").unwrap_err();
        assert!(matches!(which, Failure::Usage { .. }));
    }

    #[test]
    fn a_port_that_the_bench_reads_already_is_its_own_also_where_it_is_built_in() {
        let ports = [
            port("/dev/ttyS0", "path:/dev/ttyS0", Some("bench")),
            port("/dev/ttyUSB0", "usb:1a2b:3c4d", None),
        ];
        assert_eq!(only_port(&ports, "bench").unwrap(), "/dev/ttyS0");
    }
}
