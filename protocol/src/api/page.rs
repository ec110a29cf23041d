//! The bench page: opening it, letting browsers in, and turning them away.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Who can reach the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PagePlace {
    /// This machine alone.
    #[default]
    Here,
    /// The local network.
    Room,
}

/// What somebody who was let in may do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RoleWord {
    /// Look on.
    Viewer,
    /// Work at the bench.
    #[default]
    Operator,
}

/// Open the page, or move it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenPage {
    /// Who can reach it.
    #[serde(default)]
    pub place: PagePlace,
    /// At which port; the usual one, or any that is free, where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub port: Option<u16>,
}

/// Where the page is, and who was let in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PageState {
    /// Who can reach it; `null` while it is closed.
    pub place: Option<PagePlace>,
    /// Under which addresses.
    pub addresses: Vec<String>,
    /// Who was let in, in the order they came.
    pub visitors: Vec<VisitorLine>,
}

/// A browser that was let in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct VisitorLine {
    /// Its number.
    pub id: u32,
    /// What it calls itself.
    pub name: String,
    /// What it may do.
    pub role: RoleWord,
    /// When it was let in (RFC 3339).
    pub since: String,
}

/// Make a code that lets one browser in.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewCode {
    /// What it lets in as.
    #[serde(default)]
    pub role: RoleWord,
}

/// A code, which can be said once.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct CodeGiven {
    /// The code.
    pub code: String,
    /// How long it can be said, in seconds.
    pub valid_s: u64,
    /// Where to go with it: the addresses of the page with the code in them.
    pub links: Vec<String>,
}

/// Say the code.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EnterPage {
    /// The code.
    pub code: String,
    /// What the browser calls itself, for the list.
    #[serde(default)]
    pub name: String,
}

/// Let in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Entered {
    /// Who it is from now on.
    pub visitor: VisitorLine,
    /// To be sent with each request: `authorization: Bearer SECRET`.
    pub secret: String,
}

/// A language that the service speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LanguageWord {
    /// English.
    En,
    /// German.
    De,
}

/// Say a text aloud.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SayAloud {
    /// The text.
    #[schema(min_length = 1, max_length = 400)]
    pub text: String,
    /// Its language.
    pub language: LanguageWord,
}

/// What the service can say.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct VoiceState {
    /// In which languages; none where it has no voice.
    pub languages: Vec<LanguageWord>,
}
