//! Getting a bench a scale to hear its bytes, and leaving the bench as it was.

use hyper::Method;
use tarehand_protocol::api::{AttachScale, AttachWord, ScaleWord, View};

use super::attach::{ScaleArgs, bench};
use crate::client::{Client, ClientError};
use crate::failure::Failure;
use crate::output::Output;

/// A scale that is heard.
#[derive(Debug)]
pub(crate) struct Hearing {
    path: String,
    said: AttachScale,
    before: Before,
}

/// What the bench had before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Before {
    /// A scale to weigh on.
    Scale,
    /// Nothing, or another scale than the one that is heard.
    Nothing,
}

impl ScaleArgs {
    /// Returns the path of the bytes of the bench's scale.
    pub(crate) fn bytes_path(&self) -> String {
        format!("{}/bytes", self.bench_path())
    }

    /// Attaches the scale named, or the only one there is, so that its bytes are heard; `profile` says how it is opened.
    pub(crate) async fn hear(
        &self,
        client: &Client,
        output: &mut Output,
        profile: Option<String>,
    ) -> Result<Hearing, Failure> {
        let view = bench(client, &self.bench).await?;
        let scale = view.and_then(|view| view.scale);
        let taps = scale.as_ref().is_none_or(|scale| scale.taps);
        let before = match scale {
            Some(_) => Before::Scale,
            None => Before::Nothing,
        };
        let (port, radio) = self.place(client, profile.as_deref(), output).await?;
        let said = AttachScale {
            port,
            radio,
            unit: None,
            profile,
            scale: ScaleWord::Main,
            to: AttachWord::Hear,
            taps,
        };
        let path = format!("{}/scale", self.bench_path());
        let _view: View = client.put(&path, &said).await?;
        Ok(Hearing { path, said, before })
    }
}

impl Hearing {
    /// Has the bench read the scale by a profile; still nothing of it is kept.
    pub(crate) async fn read_by(
        &mut self,
        client: &Client,
        profile: &str,
    ) -> Result<(), ClientError> {
        self.said.profile = Some(profile.to_owned());
        let _view: View = client.put(&self.path, &self.said).await?;
        Ok(())
    }

    /// Attaches the scale to weigh on it by its profile, which the bench keeps for this device.
    pub(crate) async fn keep(self, client: &Client) -> Result<(), ClientError> {
        let said = AttachScale {
            to: AttachWord::Weigh,
            ..self.said
        };
        let _view: View = client.put(&self.path, &said).await?;
        Ok(())
    }

    /// Leaves the bench as it was.
    pub(crate) async fn end(self, client: &Client) {
        // The service lets go of the scale by itself when it ends; nothing is lost if this fails.
        match self.before {
            Before::Nothing => drop(client.tell(Method::DELETE, &self.path).await),
            Before::Scale => {
                // What was told of the device earlier is found again.
                let said = AttachScale {
                    to: AttachWord::Weigh,
                    profile: None,
                    ..self.said
                };
                let put: Result<View, ClientError> = client.put(&self.path, &said).await;
                drop(put);
            }
        }
    }
}
