//! The settings as JSON.

use schemars::JsonSchema;
use serde::Serialize;

/// The version of the settings as JSON.
pub const SETTINGS_SCHEMA: &str = "blockside.settings/1";

/// What a grower said once for all commands, with what holds where nothing was said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SettingsReport {
    /// The contract and its version.
    pub schema: &'static str,
    /// The file they are from; nothing where there is none.
    pub file: Option<String>,
    /// Where the file is looked for; nothing where the environment names no place.
    pub looked_for_at: Option<String>,
    /// The species, as it was written.
    pub species: Option<String>,
    /// The profile of the chamber, as a path from here.
    pub profile: Option<String>,
    /// The units that numbers are shown in: metric or us.
    pub units: &'static str,
    /// Whether texts are plain ASCII letters without colour.
    pub plain: bool,
}
