//! The loop between the bytes in and the bytes out.

use super::guard::{Guard, Lifecycle};
use super::handlers;
use super::incoming::{Input, Message, Messages};
use super::outgoing::{Outgoing, never_try_write};
use super::state::Options;
use futures_util::{SinkExt, StreamExt};
use std::future::poll_fn;
use std::io::{Read, Write};
use std::sync::Arc;
use std::task::Poll;
use std::thread::JoinHandle;
use tokio::sync::Semaphore;
use tower_lsp::jsonrpc::Response;
use tower_lsp::{ClientSocket, ExitedError, LspService};
use tower_service::Service;

/// Requests that may wait for their answers. Reading pauses when there are so many.
const MOST_WAITING: usize = 64;

/// Speaks with one client until it leaves. Gives the exit status: 0 after `shutdown`, else 1.
pub fn serve_on(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    options: Options,
) -> i32 {
    let (outgoing, writer) = Outgoing::to(output, never_try_write);
    serve_with(
        Input::reader(input),
        outgoing,
        writer,
        options,
        Arc::new(Lifecycle::default()),
    )
}

pub(super) fn serve_with(
    input: Input,
    outgoing: Outgoing,
    writer: JoinHandle<()>,
    options: Options,
    life: Arc<Lifecycle>,
) -> i32 {
    let runtime = match tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .enable_time()
        .max_blocking_threads(4)
        .build()
    {
        Ok(runtime) => runtime,
        Err(e) => {
            eprintln!("phasewright: the server cannot start: {e}");
            return 2;
        }
    };
    runtime.block_on(async {
        let (service, socket) = handlers::service(options, life.clone(), outgoing.clone());
        let messages = Messages::of(input, &life);
        main_loop(
            Guard::new(service, life.clone(), outgoing.clone()),
            socket,
            messages,
            &outgoing,
        )
        .await;
    });
    life.request_exit();
    outgoing.close();
    // All that was said before the end still goes out.
    if writer.join().is_err() {
        eprintln!("phasewright: the writing thread failed");
    }
    runtime.shutdown_background();
    life.status()
}

/// Hands each message to the service as it comes, and answers on, until the input ends or `exit` is said.
async fn main_loop(
    mut service: Guard<LspService<handlers::Server>>,
    socket: ClientSocket,
    mut messages: Messages,
    outgoing: &Outgoing,
) {
    let (mut asked, mut answers) = socket.split();
    let asking = tokio::spawn({
        let outgoing = outgoing.clone();
        async move {
            while let Some(request) = asked.next().await {
                outgoing.send(&request).await;
            }
        }
    });
    let places = Arc::new(Semaphore::new(MOST_WAITING));
    while let Some(message) = poll_fn(|cx| messages.poll_next(cx)).await {
        let request = match message {
            Message::Request(request) => request,
            Message::Response(response) => {
                // Refused after the end alone.
                let _ = answers.send(response).await;
                continue;
            }
        };
        if poll_fn(|cx| service.poll_ready(cx)).await.is_err() {
            break;
        }
        // The protocol wants no waiting behind it, whether the client closes the input or not.
        let is_last = request.method() == "exit";
        let mut answer = service.call(request);
        // Poll once, so that changes are applied in the order in which they came. Most requests finish here.
        match poll_fn(|cx| Poll::Ready(answer.as_mut().poll(cx))).await {
            Poll::Ready(done) => say(outgoing, done).await,
            Poll::Pending => {
                let Ok(place) = places.clone().acquire_owned().await else {
                    break;
                };
                let outgoing = outgoing.clone();
                tokio::spawn(async move {
                    say(&outgoing, answer.await).await;
                    drop(place);
                });
            }
        }
        if is_last {
            break;
        }
    }
    // What was asked is still answered.
    let _ = places.acquire_many(MOST_WAITING as u32).await;
    asking.abort();
}

async fn say(outgoing: &Outgoing, answer: Result<Option<Response>, ExitedError>) {
    // After `exit` nobody listens.
    if let Ok(Some(response)) = answer {
        outgoing.send(&response).await;
    }
}
