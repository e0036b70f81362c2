//! The server in a page. It has no loop of its own: whoever runs it hands in each message and takes away what the server says to it.

use super::layers::{CatchUnwind, Lifecycle, LifecycleService};
use super::main::service;
use super::state::Options;
use super::tasks;
use futures_util::{SinkExt, StreamExt};
use serde_json::Value;
use std::cell::RefCell;
use std::future::poll_fn;
use std::rc::Rc;
use std::sync::Arc;
use tokio::sync::mpsc;
use tower_lsp::LspService;
use tower_lsp::jsonrpc::{Error, Id, Request, Response};
use tower_service::Service;

type Layers = LifecycleService<CatchUnwind<LspService<super::state::Server>>>;

pub struct PageServer {
    service: Rc<RefCell<Layers>>,
    /// The client's answers to what the server has asked.
    answers: mpsc::UnboundedSender<Response>,
    /// Messages to the client that were not taken away yet.
    said: Rc<RefCell<Vec<String>>>,
}

impl Default for PageServer {
    fn default() -> Self {
        let life = Arc::new(Lifecycle::default());
        let (service, socket) = service(Options::default(), life.clone());
        let (mut requests, mut taken) = socket.split();
        let (answers, mut waiting) = mpsc::unbounded_channel();
        tasks::spawn(async move {
            while let Some(answer) = waiting.recv().await {
                if taken.send(answer).await.is_err() {
                    break;
                }
            }
        });
        let said = Rc::new(RefCell::new(Vec::new()));
        let saying = said.clone();
        tasks::spawn(async move {
            while let Some(request) = requests.next().await {
                say(&saying, &request);
            }
        });
        PageServer {
            service: Rc::new(RefCell::new(LifecycleService::new(
                CatchUnwind::new(service),
                life,
            ))),
            answers,
            said,
        }
    }
}

impl PageServer {
    /// Takes a message of the client. Gives all that the server says until it waits for the next one, each a line of JSON.
    pub fn receive(&self, message: &str) -> Vec<String> {
        match serde_json::from_str::<Value>(message) {
            Ok(message) if message.get("method").is_some() => self.request(message),
            Ok(message) => self.answer(message),
            Err(e) => {
                eprintln!("phasewright: a message is no JSON: {e}");
                say(
                    &self.said,
                    &Response::from_error(Id::Null, Error::parse_error()),
                );
            }
        }
        tasks::run_until_stalled();
        self.said.take()
    }

    fn request(&self, message: Value) {
        let request: Request = match serde_json::from_value(message) {
            Ok(request) => request,
            Err(e) => {
                eprintln!("phasewright: a message is no request: {e}");
                let refused = Response::from_error(Id::Null, Error::invalid_request());
                return say(&self.said, &refused);
            }
        };
        let (service, said) = (self.service.clone(), self.said.clone());
        tasks::spawn(async move {
            let is_ready = poll_fn(|cx| service.borrow_mut().poll_ready(cx)).await;
            if is_ready.is_err() {
                return;
            }
            let answer = service.borrow_mut().call(request);
            if let Ok(Some(answer)) = answer.await {
                say(&said, &answer);
            }
        });
    }

    /// An answer of the client to a request of the server.
    fn answer(&self, message: Value) {
        let answer: Response = match serde_json::from_value(message) {
            Ok(answer) => answer,
            Err(e) => return eprintln!("phasewright: a message is no answer: {e}"),
        };
        // After `exit` nobody takes it any more.
        let _ = self.answers.send(answer);
    }
}

fn say(said: &Rc<RefCell<Vec<String>>>, message: &impl serde::Serialize) {
    match serde_json::to_string(message) {
        Ok(line) => said.borrow_mut().push(line),
        Err(e) => eprintln!("phasewright: a message cannot be written: {e}"),
    }
}
