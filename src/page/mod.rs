//! The page, served to the browser of this machine, and behind it the files of one folder. The only folder that names axum and hyper.

mod built;
mod folder;
mod guard;
mod server;

use built::BuiltPage;
use folder::Folder;
use guard::Guard;
use std::net::{Ipv4Addr, TcpListener};
use std::path::Path;

/// What is served, and where.
pub struct Options<'a> {
    pub folder: &'a Path,
    /// A built page in a folder; none: the one inside the program.
    pub page: Option<&'a Path>,
    /// 0 takes a free one.
    pub port: u16,
}

/// Serves the page until the process is ended. `ready` is told the name of the folder and the address. The error says what is wrong and
/// what to do.
pub fn serve(options: &Options, ready: &mut dyn FnMut(&str, &str)) -> Result<(), String> {
    let page = BuiltPage::find(options.page)?;
    let folder = Folder::open(options.folder)?;
    let cannot = |e: std::io::Error| {
        format!(
            "port {} cannot be served: {e}; choose another, or 0 for a free one",
            options.port
        )
    };
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, options.port)).map_err(cannot)?;
    let guard = Guard::new(listener.local_addr().map_err(cannot)?.port())?;
    ready(folder.name(), &guard.address());
    server::serve(listener, guard, folder, page)
        .map_err(|e| format!("the page cannot be served: {e}"))
}
