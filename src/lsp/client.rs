//! The one owner of the client. Messages to send are queued here; nothing waits for the client's answers.

use super::tasks;
use serde_json::{Value, json};
use std::collections::HashMap;
use tokio::sync::mpsc;
use tower_lsp::Client;
use tower_lsp::gen_lsp_types::{
    MessageType, ProgressNotification, ProgressParams, ProgressToken, PublishDiagnosticsParams,
    Registration, ShowDocumentParams, Uri,
};

pub enum ClientMessage {
    Publish(PublishDiagnosticsParams),
    /// Ask to be told when settings, ingredients or formulas change on the disk.
    Watch,
    RefreshDiagnostics,
    RefreshHints,
    /// How far some long work is.
    Progress {
        token: ProgressToken,
        value: Value,
    },
    /// Show a paper in the browser, where the client can, and tell where it lies.
    Paper {
        title: &'static str,
        path: String,
        uri: String,
        /// The client shows documents.
        shows: bool,
    },
    /// Open this file in the editor.
    Open(String),
}

#[derive(Clone)]
pub struct ClientSender {
    say: mpsc::UnboundedSender<ClientMessage>,
}

impl ClientSender {
    /// Starts the task that speaks.
    pub fn new(client: Client) -> ClientSender {
        let (say, heard) = mpsc::unbounded_channel();
        tasks::spawn(run_sender(client, heard));
        ClientSender { say }
    }

    pub fn send(&self, what: ClientMessage) {
        // The sender ends only with the runtime; then nothing receives any more.
        let _ = self.say.send(what);
    }
}

async fn run_sender(client: Client, mut heard: mpsc::UnboundedReceiver<ClientMessage>) {
    while let Some(first) = heard.recv().await {
        // While a slow client was being written to, newer diagnostics may have come for the same document: only the last are sent.
        let mut all = vec![first];
        while let Ok(more) = heard.try_recv() {
            all.push(more);
        }
        let mut last: HashMap<Uri, usize> = HashMap::new();
        for (n, say) in all.iter().enumerate() {
            if let ClientMessage::Publish(p) = say {
                last.insert(p.uri.clone(), n);
            }
        }
        for (n, say) in all.into_iter().enumerate() {
            match say {
                ClientMessage::Publish(p) if last.get(&p.uri) == Some(&n) => {
                    client
                        .publish_diagnostics(p.uri, p.diagnostics, p.version)
                        .await;
                }
                ClientMessage::Publish(_) => {}
                ClientMessage::Watch => ask(&client, |c| async move {
                    c.register_capability(vec![watchers()]).await
                }),
                ClientMessage::Progress { token, value } => {
                    client
                        .send_notification::<ProgressNotification>(ProgressParams { token, value })
                        .await;
                }
                ClientMessage::RefreshDiagnostics => ask(&client, |c| async move {
                    c.workspace_diagnostic_refresh().await
                }),
                ClientMessage::Paper {
                    title,
                    path,
                    uri,
                    shows,
                } => {
                    let client = client.clone();
                    tasks::spawn(async move {
                        let words = if shows && show(&client, &uri, true).await {
                            // Some say that it is shown and show nothing.
                            format!("The {title} is in {path}")
                        } else {
                            format!(
                                "This editor cannot show the {title}. Open it in a browser: {path}"
                            )
                        };
                        client.show_message(MessageType::Info, words).await;
                    });
                }
                ClientMessage::Open(uri) => {
                    let client = client.clone();
                    tasks::spawn(async move {
                        show(&client, &uri, false).await;
                    });
                }
                ClientMessage::RefreshHints => {
                    ask(&client, |c| async move { c.inlay_hint_refresh().await })
                }
            }
        }
    }
}

/// Whether the client says that it shows this address, in the browser or as a document of its own.
async fn show(client: &Client, uri: &str, external: bool) -> bool {
    let asked = ShowDocumentParams {
        uri: uri.into(),
        external: Some(external),
        take_focus: (!external).then_some(true),
        selection: None,
    };
    client.show_document(asked).await.is_ok_and(|shown| shown)
}

fn ask<F: Future<Output = tower_lsp::jsonrpc::Result<()>> + Send + 'static>(
    client: &Client,
    request: impl FnOnce(Client) -> F,
) {
    let request = request(client.clone());
    tasks::spawn(async move {
        if let Err(e) = request.await {
            eprintln!("phasewright: the editor refused a request: {e}");
        }
    });
}

fn watchers() -> Registration {
    let globs = [
        "**/phasewright.toml",
        "**/ingredients/*.toml",
        "**/ingredients",
        "**/*.formula",
        "**/*.batch",
        "**/*.stock",
    ];
    let watchers: Vec<Value> = globs.iter().map(|g| json!({ "globPattern": g })).collect();
    Registration {
        id: "phasewright-files".to_owned(),
        method: "workspace/didChangeWatchedFiles".to_owned(),
        register_options: Some(json!({ "watchers": watchers })),
    }
}
