//! Starts `phasewright serve` from the PATH, or the program that the settings name.

use zed_extension_api::{self as zed, LanguageServerId, Result, settings::LspSettings};

struct Phasewright;

impl zed::Extension for Phasewright {
    fn new() -> Self {
        Phasewright
    }

    fn language_server_command(
        &mut self,
        id: &LanguageServerId,
        worktree: &zed::Worktree,
    ) -> Result<zed::Command> {
        let settings = LspSettings::for_worktree(id.as_ref(), worktree).ok();
        let named = settings.and_then(|s| s.binary).and_then(|b| b.path);
        let command = named.or_else(|| worktree.which("phasewright")).ok_or(
            "phasewright is not on the PATH; install it, or name it in the settings under lsp.phasewright.binary.path",
        )?;
        Ok(zed::Command {
            command,
            args: vec!["serve".to_owned()],
            env: Vec::new(),
        })
    }
}

zed::register_extension!(Phasewright);
